"""Reading the program's definition: texts in, one frozen value or every finding at once out."""
