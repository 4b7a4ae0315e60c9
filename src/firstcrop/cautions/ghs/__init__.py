"""Classification of mixtures by the rules of UN GHS (Rev. 9, parts 2 to 4), and labels.

`classify(ingredients, ph, form)` in `classify` gives the codes, each with its reason; `label` in
`label` makes of them what stands on a bottle.
"""
