/**
 * The colours of reports. Those of series are Okabe and Ito's eight, made to be told apart by readers who do not see all
 * colours (M. Okabe and K. Ito, "Color Universal Design", 2008; spread by B. Wong, Nature Methods 8, 441, 2011). On a
 * light page the dark ones come first and on a dark page the light ones, so that the first five keep 3:1 against the
 * page, what WCAG 2.2 asks of graphics (1.4.11). No chart tells series apart by colour alone: `dress.ts` gives lines
 * a dash, points a symbol and bars a hatching too.
 */

/** What a colour is for: series 1 to 6, words, lesser words, lines of a grid, shading, and the page. */
export type Role = '1' | '2' | '3' | '4' | '5' | '6' | 'ink' | 'quiet' | 'line' | 'shade' | 'paper'

export type Palette = Record<Role, string>

const BLACK = '#000000'
const ORANGE = '#e69f00'
const SKY_BLUE = '#56b4e9'
const BLUISH_GREEN = '#009e73'
const YELLOW = '#f0e442'
const BLUE = '#0072b2'
const VERMILLION = '#d55e00'
const REDDISH_PURPLE = '#cc79a7'

export const LIGHT: Palette = {
  '1': BLUE,
  '2': VERMILLION,
  '3': BLUISH_GREEN,
  '4': REDDISH_PURPLE,
  '5': BLACK,
  '6': ORANGE,
  ink: '#1b1f23',
  quiet: '#565d64',
  line: '#dfe3e6',
  shade: '#eef1f3',
  paper: '#ffffff',
}

export const DARK: Palette = {
  '1': SKY_BLUE,
  '2': ORANGE,
  '3': BLUISH_GREEN,
  '4': REDDISH_PURPLE,
  '5': YELLOW,
  '6': VERMILLION,
  ink: '#e6e9ec',
  quiet: '#a9b1b8',
  line: '#32383e',
  shade: '#1f252a',
  paper: '#14181c',
}

function properties(palette: Palette): string {
  return (Object.keys(palette) as Role[]).map(role => `--c-${role}:${palette[role]}`).join(';')
}

/** The palettes as style: light, dark where the reader's system is, and light in print. */
export const COLOURS = [
  `:root{${properties(LIGHT)}}`,
  `@media screen and (prefers-color-scheme:dark){:root{${properties(DARK)}}}`,
  '',
].join('\n')
