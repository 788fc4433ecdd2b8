"""``python -m washlore.cli``, for where the folder of programs is not on the path."""

from washlore.cli.main import run

if __name__ == "__main__":
    run()
