"""The habits of the HTTP API: reading requests, answering, refusing. The only part of `common` that knows HTTP."""
