"""History, its checks, the unit file, purges and stored responses. Not what the history is of."""
