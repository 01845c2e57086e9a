"""`python -m tradeopt` is the command line."""

from tradeopt.cli import main

if __name__ == "__main__":
    main()
