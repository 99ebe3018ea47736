"""The way back to the teacher: a student's report, and the table of a class."""
