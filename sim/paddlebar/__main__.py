"""``python -m paddlebar``: the command, for whoever has its folder of commands not on the path."""

from paddlebar.cli.main import main

if __name__ == "__main__":
    main(prog_name="paddlebar")
