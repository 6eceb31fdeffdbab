"""Documents: pictures in SVG and pages in HTML that need no other file.

Pages load the models, numbers and words do not: import from the module itself.
"""
