"""Units over HTTP: how one is named, shown and changed. Couplings and meters are rooms of their own."""
