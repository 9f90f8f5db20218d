"""What the instructor wrote: read as text, typed by us, every value with its place in the file."""
