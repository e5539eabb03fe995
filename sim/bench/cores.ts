/**
 * Work on all cores: child processes that take one order at a time. A child that dies fails the whole with its words.
 *
 * Whoever adds the answers up must not care in which order they come: that depends on how many processes there are.
 */
import { fork } from 'node:child_process'

/** Orders, one after the other, and what to do with each answer. */
export interface Work<Setup, Order, Answer> {
  /** The file of one process: it calls `serve` with the same `start`. */
  worker: URL
  /** What every process has to know, once. */
  setup: Setup
  orders: Iterable<Order>
  /** The same work in this process, for a single one. */
  start: (setup: Setup) => Promise<(order: Order) => Answer>
  take: (answer: Answer) => void
}

/** Carries out all orders on so many processes; in this one when it is one. */
export async function onCores<Setup, Order, Answer>(work: Work<Setup, Order, Answer>, jobs: number): Promise<void> {
  const orders = work.orders[Symbol.iterator]()
  if (jobs <= 1) {
    const carryOut = await work.start(work.setup)
    for (let next = orders.next(); next.done !== true; next = orders.next()) {
      work.take(carryOut(next.value))
      // Lets a progress line out, and a Ctrl-C in.
      await new Promise(resolve => setImmediate(resolve))
    }
    return
  }
  const children: Promise<void>[] = []
  for (let i = 0; i < jobs; i++) {
    const first = orders.next()
    if (first.done === true) break
    children.push(child(work, orders, first.value))
  }
  await Promise.all(children)
}

/** One child, fed until there are no orders. */
function child<Setup, Order, Answer>(
  work: Work<Setup, Order, Answer>,
  orders: Iterator<Order>,
  first: Order,
): Promise<void> {
  return new Promise((resolve, reject) => {
    const process = fork(work.worker, {
      execArgv: ['--import', import.meta.resolve('tsx')],
      stdio: ['ignore', 'ignore', 'pipe', 'ipc'],
    })
    let words = ''
    process.stderr?.on('data', (text: Buffer) => {
      words += text.toString()
    })
    process.on('message', answer => {
      work.take(answer as Answer)
      const next = orders.next()
      if (next.done === true) process.disconnect()
      else process.send({ order: next.value })
    })
    process.on('error', reject)
    process.on('exit', code => {
      if (code === 0) resolve()
      else reject(new Error(`a process of the bench ended with ${code}: ${words}`))
    })
    process.send({ setup: work.setup })
    process.send({ order: first })
  })
}

/** The other side, called once by the file of a process: takes orders until it is let go. */
export function serve<Setup, Order, Answer>(start: (setup: Setup) => Promise<(order: Order) => Answer>): void {
  let ready: Promise<(order: Order) => Answer> | undefined
  process.on('message', message => {
    const { setup, order } = message as { setup?: Setup; order?: Order }
    if (setup !== undefined) ready = start(setup)
    if (order === undefined || ready === undefined) return
    ready.then(carryOut => process.send?.(carryOut(order))).catch(fail)
  })
}

function fail(thrown: unknown): void {
  process.stderr.write(`${(thrown as Error).stack ?? String(thrown)}\n`, () => process.exit(1))
}
