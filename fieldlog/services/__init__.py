"""What people do on the ground, written down."""
