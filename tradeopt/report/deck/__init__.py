"""The review deck: native tables and charts, a file a subject."""
