"""Links by which somebody of another firm signs, and the firms. Not the certificate or the look that is signed."""
