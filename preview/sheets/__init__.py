"""What is written for people: paper, templates, the client's and the shop's sheet, report, files."""
