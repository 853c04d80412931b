"""A card in its envelope, and the limits of the post."""

TEXTS = {
    "post.too-long": "its envelope is {length_mm:g} long, over {limit_mm:g}",
    "post.too-little-long": "its envelope is {length_mm:g} long, under {limit_mm:g}",
    "post.too-high": "its envelope is {length_mm:g} high, over {limit_mm:g}",
    "post.too-little-high": "its envelope is {length_mm:g} high, under {limit_mm:g}",
    "post.too-square": "its envelope is {ratio:.2f} times as long as high, under {limit:g}",
    "post.too-thick": "it is {thickness_mm:g} thick, over {limit_mm:g}",
    "post.too-thin": "it is {thickness_mm:g} thick, under {limit_mm:g}",
    "post.too-heavy": "it weighs {mass:g} g, over {limit:g} g",
    "post.square-costs-more": "it is square, outside {least:g} to {most:g}, and costs more",
    "post.shape-costs-more": "it is {ratio:.2f} times as long as high, outside {least:g} to {most:g}, and costs more",
    "post.envelope-snug": "snug: {left_mm:.1f} is left where {usual_mm:g} is usual; try one {envelope} envelope before you buy a box",
    "post.envelope-made-for-it": "made for this size, with {spare_mm:.0f} to spare",
    "post.envelope-roomy": "roomy, with {spare_mm:.0f} to spare ({least_mm:g} to {most_mm:g} is usual)",
}
