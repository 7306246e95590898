"""The trade's arithmetic and physics: plain numbers in and out, one module per subject."""
