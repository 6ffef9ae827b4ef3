// The colour of a text on the colour of a category.

const [DARK, LIGHT, BLACK] = ["#14151F", "#FFFFFF", "#000000"];
const LEAST = 4.5; // WCAG 2.2, 1.4.3. Black has it on every colour on which white has not.

// The dark or the light text, whichever has more contrast on a colour, or black where both have too little.
export function textColour(colour) {
  const better = contrast(DARK, colour) > contrast(LIGHT, colour) ? DARK : LIGHT;
  return contrast(better, colour) < LEAST ? BLACK : better;
}

// The contrast ratio of two colours (WCAG 2.2).
export function contrast(one, other) {
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
