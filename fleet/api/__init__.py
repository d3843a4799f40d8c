"""What the carrier owns, over HTTP. Views only translate; every write is one call into services."""
