/** Lines, bands and axes that the charts of a session have in common. Pure. */

/** Whole session, from its beginning. */
export const wholeTime = (more: object = {}): object => time({ min: 0, ...more })

export const time = (more: object = {}): object => ({
  type: 'time',
  name: 'minutes from first contact',
  axisLabel: { formatter: '@clock' },
  ...more,
})

export const line = (name: string, y: string, formatter: string, more: object = {}): object => ({
  type: 'line',
  name,
  encode: { x: 'ms', y },
  tooltip: { valueFormatter: formatter },
  ...more,
})

/** A band from `low`, as high as `width`; `color` is that of the line it belongs to. */
export function band(stack: string, low: string, width: string, color: string, more: object = {}): object[] {
  const usual = { type: 'line', stack, stackStrategy: 'all', color, tooltip: { show: false }, ...more }
  const bare = { ...usual, lineStyle: { opacity: 0 } }
  return [
    { ...bare, encode: { x: 'ms', y: low } },
    { ...bare, encode: { x: 'ms', y: width }, areaStyle: { opacity: 0.22, color } },
  ]
}
