/** Bars of text: a histogram and a chart that fit a terminal of 80 columns. */

const BAR = '#'

/** `count` of equal steps from `low` to `high`; what lies beyond goes into the ends. */
export function stepsBetween(low: number, high: number, count: number): number[] {
  return Array.from({ length: count + 1 }, (_, i) => low + ((high - low) * i) / count)
}

/** A line for each step between `edges`: its middle, a bar, its share. The longest bar is `width` long. */
export function histogram(edges: number[], counts: number[], unit: string, width = 50): string[] {
  const all = counts.reduce((sum, count) => sum + count, 0)
  const most = Math.max(1, ...counts)
  return counts.map((count, i) => {
    const middle = ((edges[i] as number) + (edges[i + 1] as number)) / 2
    const bar = BAR.repeat(Math.max(count > 0 ? 1 : 0, Math.round((count / most) * width)))
    const share = count === 0 ? '' : ` ${((100 * count) / all).toFixed(1)} %`
    return `${signed(middle).padStart(7)}${unit} ${bar}${share}`.trimEnd()
  })
}

function signed(value: number): string {
  const text = value.toFixed(2)
  return Number(text) > 0 ? `+${text}` : Number(text) === 0 ? '0.00' : text
}

/** A bar from 0 to 1 in so many columns. */
export function shareBar(share: number, width: number): string {
  return BAR.repeat(Math.round(Math.min(1, Math.max(0, share)) * width))
}
