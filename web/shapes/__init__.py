"""The shapes of what the API takes and tells, for OpenAPI and for reading bodies."""
