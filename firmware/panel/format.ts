/**
 * Figures as short texts for the screen. Anything that is no number becomes dashes; nothing is longer than it says.
 */

/** Minutes and seconds, at most 5 characters: "3:15", "12:05", from 100 minutes on "120m". Negative times count as 0. */
export function clockText(seconds: number): string {
  if (isNaN(seconds)) return '-:--'
  let whole = Math.floor(seconds + 0.5)
  if (whole < 0) whole = 0
  const minutes = Math.floor(whole / 60)
  if (minutes >= 100) return Math.min(minutes, 9999) + 'm'
  const rest = whole - minutes * 60
  return minutes + (rest < 10 ? ':0' : ':') + rest
}

/** Degrees to a tenth, at most 6 characters: "37.8C", "~37.8C" when only believed. */
export function celsiusText(celsius: number, believed: boolean): string {
  if (!(celsius > -9.95 && celsius < 99.95)) return believed ? '~--C' : '--C'
  return (believed ? '~' : '') + celsius.toFixed(1) + 'C'
}

/** The range a bath is to be poured at, at most 6 characters: "30-39C", or one figure where both ends are near. */
export function rangeText(low: number, high: number): string {
  if (!(low > -9.5 && high < 99.5)) return ''
  const lowText = low.toFixed(0)
  const highText = high.toFixed(0)
  return lowText === highText || low < 0 ? celsiusText((low + high) / 2, false) : lowText + '-' + highText + 'C'
}

/** Whole percent from a fraction, at most 4 characters. */
export function percentText(fraction: number): string {
  if (!(fraction >= 0)) return '--%'
  return Math.floor(Math.min(fraction, 1) * 100 + 0.5) + '%'
}

/** The first `most` characters. */
export function cut(text: string, most: number): string {
  return text.length > most ? text.substr(0, most) : text
}

/** Where to break a text so that the first line has at most `most` characters: after the last word that fits. */
export function breakAt(text: string, most: number): number {
  if (text.length <= most) return text.length
  for (let i = most; i > 0; i--) if (text.charAt(i) === ' ') return i
  return most
}
