// The colour of a text on the colour of a category.

const [DARK, LIGHT] = ["#14151F", "#FFFFFF"];

// The dark or the light text, whichever has more contrast on a colour.
export function textColour(colour) {
  return contrast(DARK, colour) > contrast(LIGHT, colour) ? DARK : LIGHT;
}

// The contrast ratio of two colours (WCAG 2.2).
function contrast(one, other) {
  const [low, high] = [luminance(one), luminance(other)].sort((a, b) => a - b);
  return (high + 0.05) / (low + 0.05);
}

// The relative luminance of a colour, 0 to 1 (WCAG 2.2).
function luminance(colour) {
  const channel = (at) => {
    const value = parseInt(colour.slice(at, at + 2), 16) / 255;
    return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
  };
  return 0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5);
}
