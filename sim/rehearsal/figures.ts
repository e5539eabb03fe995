/**
 * Figures as texts that come out alike on every engine: rounded to whole units of the last decimal first, because the
 * board's engine cuts off where others round. Anything that is no number becomes a dash.
 */

/** `value` with so many decimals (0 to 9). */
export function figure(value: number, decimals: number): string {
  if (!isFinite(value)) return '-'
  let scale = 1
  for (let i = 0; i < decimals; i++) scale *= 10
  const units = Math.floor((value < 0 ? -value : value) * scale + 0.5)
  const whole = Math.floor(units / scale)
  const sign = value < 0 && units > 0 ? '-' : ''
  if (decimals === 0) return sign + whole
  let rest = '' + (units - whole * scale)
  while (rest.length < decimals) rest = '0' + rest
  return sign + whole + '.' + rest
}
