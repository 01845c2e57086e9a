"""Workers on other machines: the Celery object and thin tasks."""
