"""What notices say: their sentences, and the message a person gets. Holds nothing of who is told, or when."""
