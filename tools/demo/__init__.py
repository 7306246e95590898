"""What makes the demo's files: two invented jobs, told as people would write them down."""
