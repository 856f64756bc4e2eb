"""One module for each family of rows; none imports another."""
