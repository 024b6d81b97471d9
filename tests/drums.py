"""Drum files that several rooms' tests start from, all of them INVENTED."""

WREN = """\
# INVENTED: two tongues on a small board
name = "Wren"
units = "mm"
[top]
wood = "cherry, black"
length = 320.0        # room for both
width = 70.0
thickness = 12.0
[slots]
kerf = 3.0
end_margin = 26.0
side_margin = 20.0
[[tongues]]
note = "D4"           # the low one
row = 1
side = "left"
length = 140.0
[[tongues]]
note = "Bb4"
row = 1
side = "right"
length = 105.0
[box]
wood = "teak"
wall = 10.0
height = 40.0
"""

REED = """\
# INVENTED: never built
name = "Reed"
[top]
wood = "cherry, black"
length = 400.0
width = 180.0
thickness = 14.0
[slots]
kerf = 3.0
end_margin = 45.0
side_margin = 32.0
[[tongues]]
note = "D4"
row = 1
side = "left"
length = 150.0
[[tongues]]
note = "A4"
row = 1
side = "right"
length = 110.0
[[tongues]]
note = "F4"
row = 2
side = "left"
length = 130.0
[[tongues]]
note = "C5"
row = 2
side = "right"
length = 95.0
[box]
wood = "ash, white"
wall = 16.0
height = 90.0
[bottom]
wood = "ash, white"
thickness = 8.0
"""
