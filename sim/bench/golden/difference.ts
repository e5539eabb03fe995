/** What differs between two texts, line by line: the longest common run of lines is left out (Hunt and Szymanski's problem, by the plain table). */
export function differingLines(before: string, after: string): string[] {
  const old = before.split('\n')
  const now = after.split('\n')
  const common: number[][] = old.map(() => new Array<number>(now.length + 1).fill(0))
  common.push(new Array<number>(now.length + 1).fill(0))
  for (let i = old.length - 1; i >= 0; i--) {
    for (let k = now.length - 1; k >= 0; k--) {
      common[i]![k] = old[i] === now[k] ? common[i + 1]![k + 1]! + 1 : Math.max(common[i + 1]![k]!, common[i]![k + 1]!)
    }
  }
  const lines: string[] = []
  let i = 0
  let k = 0
  while (i < old.length || k < now.length) {
    if (i < old.length && k < now.length && old[i] === now[k]) {
      i++
      k++
    } else if (k >= now.length || (i < old.length && common[i + 1]![k]! >= common[i]![k + 1]!))
      lines.push(`- ${old[i++]}`)
    else lines.push(`+ ${now[k++]}`)
  }
  return lines.filter(line => line.length > 2)
}
