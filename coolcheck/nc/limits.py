"""Bounds on what one program may cost. Reaching one is a note in the execution, never a hang."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Limits:
    """How far a program is followed.

    max_blocks_executed : blocks run, those of loops and subprograms counted each time
    max_moves : rows of moves, some 100 bytes each; a repeated cycle can make many from one block
    max_depth : subprogram and macro calls within each other; controls allow 4 to 10
    max_seconds : for the whole of one program; half of it is for following it
    max_megabytes : of memory beyond what is in use before
    max_pecks : strokes of one hole
    max_file : bytes of a subprogram file
    """

    max_blocks_executed: int = 5_000_000
    max_moves: int = 5_000_000
    max_depth: int = 32
    max_seconds: float = 120.0
    max_megabytes: float = 4000.0
    max_pecks: int = 10_000
    max_file: int = 64_000_000
