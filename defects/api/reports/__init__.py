"""Driver vehicle inspection reports over HTTP; they are handed in with a walk-around."""
