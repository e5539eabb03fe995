/** The known word nearest to a mistyped one, for hints. Bounded: long words are not compared. */

const LETTERS_AT_MOST = 32

/** The nearest of `known` when it is near enough to be meant, else an empty text. */
export function nearest(word: string, known: string[]): string {
  if (word.length > LETTERS_AT_MOST) return ''
  let best = ''
  let bestEdits = Math.max(2, Math.floor(word.length / 3)) + 1
  for (let i = 0; i < known.length; i++) {
    const edits = editsBetween(word.toLowerCase(), known[i].toLowerCase())
    if (edits < bestEdits && edits < known[i].length) {
      best = known[i]
      bestEdits = edits
    }
  }
  return best
}

/** Levenshtein's distance: letters to insert, delete or change. */
function editsBetween(a: string, b: string): number {
  let above: number[] = []
  for (let j = 0; j <= b.length; j++) above.push(j)
  for (let i = 1; i <= a.length; i++) {
    const row = [i]
    for (let j = 1; j <= b.length; j++) {
      const change = above[j - 1] + (a.charAt(i - 1) === b.charAt(j - 1) ? 0 : 1)
      row.push(Math.min(change, above[j] + 1, row[j - 1] + 1))
    }
    above = row
  }
  return above[b.length]
}
