"""The same services over HTTP."""
