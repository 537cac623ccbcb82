"""Reading the program's definition: texts in, one frozen value or every finding at once out."""

from mentor_training.program.reading.findings import Finding
from mentor_training.program.reading.folders import collect_files
from mentor_training.program.reading.program import read_program

__all__ = ["Finding", "collect_files", "read_program"]
