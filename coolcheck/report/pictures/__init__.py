"""Takes rows of a review, gives SVG as markup: pictures made by hand, pure functions, every text in them escaped.

Size and place of things that share a time axis are percentages, so that a picture can be stretched without stretching its text.
Colours and textures are classes; the style sheet knows light, dark and paper. Must not import a template or a format.
"""
