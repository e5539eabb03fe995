/** How quantities are written for people: one place, so that every report says them alike. */

/** Minutes and seconds, `4:05`; with hours `1:04:05`. What is not finite is unknown, here and below. */
export function clockTime(seconds: number): string {
  if (!Number.isFinite(seconds)) return 'unknown'
  const whole = Math.max(0, Math.round(seconds))
  const two = (value: number): string => String(value).padStart(2, '0')
  const hours = Math.floor(whole / 3600)
  const minutes = Math.floor((whole % 3600) / 60)
  return hours > 0 ? `${hours}:${two(minutes)}:${two(whole % 60)}` : `${minutes}:${two(whole % 60)}`
}

export function percent(fraction: number, digits = 1): string {
  return Number.isFinite(fraction) ? `${(100 * fraction).toFixed(digits)} %` : 'unknown'
}

export function celsius(value: number): string {
  return Number.isFinite(value) ? `${value.toFixed(1)} C` : 'unknown'
}

/** Lines of at most 80 characters, those after the first with `indent` spaces before them. */
export function wrapped(text: string, indent: number): string[] {
  const lines: string[] = []
  let line = ''
  for (const word of text.split(' ')) {
    const longer = line === '' ? word : `${line} ${word}`
    if (longer.length > LINE_WIDTH && line.trim() !== '') {
      lines.push(line)
      line = ' '.repeat(indent) + word
    } else line = longer
  }
  return [...lines, line]
}

/** `margin`, and `text` beside it in lines of at most 80 characters; the later ones begin below the first. */
export function hanging(margin: string, text: string): string[] {
  const [first, ...rest] = wrapped('x'.repeat(margin.length) + text, margin.length)
  return [margin + (first as string).slice(margin.length), ...rest]
}

const LINE_WIDTH = 80

/** The usual cautions, for every page and report after which somebody may go and develop a film. */
export const CAUTIONS = [
  'Photographic chemicals burn and sensitise: gloves, goggles, fresh air, and the safety data sheet of each product first.',
  'Used fixer and bleach-fix carry silver: keep them and hand them in as your local rules say.',
  'Lithium cells burn: protection belongs in hardware; never charge them wet, below 0 C, or while the base is in use.',
]
