"""What leaves the program as pages and pictures: study sheet, handout, report, charts.

Never changes the log. Begin with `study_sheet`, `handout` or `report`.
"""
