"""`python -m matbook` is the command line."""

from matbook.cli import run

if __name__ == "__main__":
    run()
