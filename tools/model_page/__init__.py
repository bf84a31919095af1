"""The page and the chart of what the panel model does, made by trying the model out; only the docs need them."""
