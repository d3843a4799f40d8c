"""What every signed record shares, and when notifications end and files go. Not what is signed."""
