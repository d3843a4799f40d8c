"""What is measured. Each module here has `measure(bench: Bench) -> Iterable[Figure]`, and is found by itself.

Each module gets a database of its own, a copy of the demo's, and web processes of its own when it sends a request.
"""
