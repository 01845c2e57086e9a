"""What holds for all tests."""

from hypothesis import settings

# the same examples each time, so that a change alone turns a test red; who wants others asks for
# them by --hypothesis-profile default
settings.register_profile("steady", derandomize=True)
settings.load_profile("steady")
