/** How long the laptop waits for what. One place, so that tests can be quick with the same code. */
export interface Waits {
  /** For the answer to one line at the prompt. */
  answerSeconds: number
  /** For a slow one: a check sum over a whole slot, tidying up the store. */
  slowSeconds: number
  /** Between two interrupts: two within 5 s end the engine where it runs as a program of a computer. */
  interruptSeconds: number
  /** For the prompt after a reset. */
  resetSeconds: number
  /** After a restart nothing is sent for so long: the guard listens for its first seconds, and throws away what it hears. */
  bootSeconds: number
  /** From there to the firmware's first answer. */
  startSeconds: number
  /** From the first answer to its healthy mark. */
  healthySeconds: number
  /** For a port that a restarting board took away. */
  reopenSeconds: number
  /** Between two looks at it. */
  pollSeconds: number
  /** For "heard": shorter than an answer, since it comes before the firmware's next tick. */
  hearSeconds: number
  /** For a reply of the firmware. */
  replySeconds: number
}

export const WAITS: Waits = {
  answerSeconds: 2,
  slowSeconds: 20,
  interruptSeconds: 8,
  resetSeconds: 8,
  bootSeconds: 6,
  startSeconds: 45,
  healthySeconds: 100,
  reopenSeconds: 20,
  pollSeconds: 3,
  hearSeconds: 1.5,
  replySeconds: 5,
}
