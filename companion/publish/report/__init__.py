"""The way back to the teacher: a student's report, and the table of a class.

Never believes a file it did not check. Begin with `student_report`, then `class_table`.
"""
