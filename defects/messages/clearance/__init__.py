"""What is said of clearance: each reason with what ends it, and what a request is refused with."""
