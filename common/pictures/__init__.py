"""Pictures without what a camera notes in them: place, time, device. Copied piece by piece; nothing is decoded."""
