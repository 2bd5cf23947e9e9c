"""Paper: data and a template to PDF or pictures; a sign that the fonts at hand can't show is spelt out."""
