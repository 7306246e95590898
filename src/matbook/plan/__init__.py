"""What was agreed before paving, and its changes."""
