/** The board's small files as the console uses them: JSON texts, damaged ones left out, a full store said in words. */
import type { TextFiles } from '../../hal/board.ts'
import { asFields, type Fields } from '../recipe/ownKeys.ts'
import { type Console, fail, REFUSED } from './consoleState.ts'

/** Nothing larger is kept (hal/board.ts). */
const FILE_CHARACTERS = 8000

/** The object that a file holds; undefined when there is none, or it does not read as one. */
export function readFields(files: TextFiles, name: string): Fields | undefined {
  try {
    const text = files.read(name)
    return text === undefined ? undefined : asFields(JSON.parse(text))
  } catch (_) {
    return undefined
  }
}

/** Writes a file. False when it found no room, which is said. */
export function keep(line: Console, files: TextFiles, name: string, text: string): boolean {
  try {
    if (text.length <= FILE_CHARACTERS) {
      files.write(name, text)
      return true
    }
  } catch (_) {
    // Said below: whatever the store has against it, room is what helps.
  }
  fail(line, REFUSED, 'No room: remove a recipe')
  return false
}
