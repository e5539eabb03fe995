/** How a chart writes figures: an option is plain data, so it names one of these. The same on the laptop and in the browser. */

type Format = (value: number) => string

/** Minutes and seconds of milliseconds, `4:05`; with hours `1:04:05`; tenths where a zoom shows them. */
export function clock(milliseconds: number): string {
  const tenths = Math.round(milliseconds / 100)
  const whole = Math.floor(tenths / 10)
  const two = (value: number): string => String(value).padStart(2, '0')
  const hours = Math.floor(whole / 3600)
  const minutes = Math.floor((whole % 3600) / 60)
  const part = tenths % 10 === 0 ? '' : `.${tenths % 10}`
  return `${hours > 0 ? `${hours}:${two(minutes)}` : minutes}:${two(whole % 60)}${part}`
}

/**
 * The function of a name: "@clock", or "@fixed:DIGITS:UNIT" (the unit as it should follow, with its space). `undefined`
 * for any other text, which the library then takes as it is.
 */
export function formatNamed(name: string): ((value: unknown) => string) | undefined {
  const [kind, digits, ...unit] = name.split(':')
  let format: Format
  if (kind === '@clock') format = clock
  else if (kind === '@fixed') format = value => value.toFixed(Number(digits)) + unit.join(':')
  else return undefined
  return value => {
    const number = typeof value === 'object' && value !== null ? (value as { value: unknown }).value : value
    return number === null || number === '' || !isFinite(Number(number)) ? 'none' : format(Number(number))
  }
}
