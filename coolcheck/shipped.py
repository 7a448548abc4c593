"""Where the data that ships with coolcheck lies: `grammars/` and `rules/`, in a wheel or in a checkout."""

from pathlib import Path

_INSIDE = Path(__file__).resolve().parent  # a wheel carries the folders inside the package
_BESIDE = _INSIDE.parent  # a checkout, and so an editable install, has them beside it


def shipped(folder: str) -> Path:
    """The shipped folder of that name.

    Raises FileNotFoundError when the installation is broken: neither place has it.
    """
    for root in (_INSIDE, _BESIDE):
        if (root / folder).is_dir():
            return root / folder
    raise FileNotFoundError(f"this installation of coolcheck has no {folder!r} folder; install it again")
