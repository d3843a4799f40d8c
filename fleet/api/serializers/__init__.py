"""What the API takes and gives, one file for each noun. Nothing here looks anything up."""
