/** The waits of the link with a board that answers at once, and what every test of it needs. */
import { afterAll } from 'vitest'
import { WAITS, type Waits } from '../../../sim/link/waits.ts'
import { type BoardOptions, type ScriptedBoard, startBoard } from './scriptedBoard.ts'

export const QUICK: Waits = {
  ...WAITS,
  answerSeconds: 0.15,
  slowSeconds: 0.3,
  interruptSeconds: 0.2,
  resetSeconds: 1,
  bootSeconds: 0.12,
  startSeconds: 0.7,
  healthySeconds: 0.8,
  reopenSeconds: 0.2,
  pollSeconds: 0.05,
  hearSeconds: 0.2,
  replySeconds: 0.4,
}

const boards: ScriptedBoard[] = []

afterAll(async () => {
  for (const board of boards.splice(0)) await board.close()
})

/** A board that is gone after the tests of its file. */
export async function boardWith(options: BoardOptions = {}): Promise<ScriptedBoard> {
  const board = await startBoard(options)
  boards.push(board)
  return board
}
