"""What a spool's colour looks like on its swatch: the shop's own words, as near as a screen gets."""

_SWATCHES = {
    "black": "#26282D",
    "white": "#F4F3EF",
    "grey": "#8C8F94",
    "gray": "#8C8F94",
    "silver": "#B9BCC1",
    "natural": "#E6E0CF",
    "clear": "#E9EBE8",
    "transparent": "#E9EBE8",
    "beige": "#D9C8A6",
    "brown": "#6B4A32",
    "red": "#B3322B",
    "orange": "#D9742B",
    "yellow": "#E3BE3A",
    "green": "#3F7D4E",
    "blue": "#2F5FA8",
    "purple": "#6A4A97",
    "violet": "#6A4A97",
    "pink": "#D58BA6",
    "gold": "#B8923C",
    "copper": "#A8663F",
}
UNKNOWN = "#A7A397"
"""A colour nobody painted here yet; its word stands beside the swatch anyway."""


def swatch_of(colour: str) -> str:
    """The swatch of a colour as the shop writes it ("dark grey", "Grey", "#8C8F94")."""
    words = colour.lower().replace("-", " ").split()
    if len(words) == 1 and words[0].startswith("#") and len(words[0]) == 7:
        return words[0]
    return next((_SWATCHES[word] for word in reversed(words) if word in _SWATCHES), UNKNOWN)
