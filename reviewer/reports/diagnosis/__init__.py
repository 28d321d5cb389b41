"""What explains symptoms, as text and as tables."""
