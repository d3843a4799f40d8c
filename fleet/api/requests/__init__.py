"""What requests about any noun share: who is signed in and may call, how rows are named, files as bodies."""
