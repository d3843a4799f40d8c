"""What the shop's addresses take and give, one file for each noun."""
