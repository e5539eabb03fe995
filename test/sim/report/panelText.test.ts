/** The screen drawn as text. */
import { expect, test } from 'vitest'
import type { ScreenFrame } from '../../../hal/board.ts'
import { panelText } from '../../../sim/report/panelText.ts'

const line = (text: string, x: number, y: number, size: number, inverse = false) => ({ text, x, y, size, inverse })

test('small, middle and big text can be told apart, and so can a bar and dark on light', () => {
  const frame: ScreenFrame = {
    lines: [line('3:15', 0, 0, 32), line('POUR OUT', 0, 32, 16, true), line('small text', 0, 56, 8)],
    bars: [{ x: 60, y: 48, width: 60, height: 8, filled: 0.5 }],
  }
  expect(panelText(frame)).toBe(
    [
      '+----------------------+',
      '|                      |',
      '|3   :   1   5         |',
      '|=== === === ===       |',
      '|=== === === ===       |',
      '>P O U R   O U T       <',
      '>- - - -   - - -       <',
      '|          [####....]  |',
      '|small text            |',
      '+----------------------+',
    ].join('\n'),
  )
})

test('an empty frame is an empty box, and what lies beyond the screen is cut', () => {
  const rows = panelText({ lines: [line('x'.repeat(40), 0, 0, 8), line('below', 0, 200, 8)], bars: [] }).split('\n')
  expect(rows).toHaveLength(10)
  expect(rows[1]).toBe(`|${'x'.repeat(22)}|`)
  expect(rows.slice(2, 9).every(row => row === `|${' '.repeat(22)}|`)).toBe(true)
})
