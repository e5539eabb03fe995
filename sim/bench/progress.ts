/** How far long work is, on a terminal's stderr only: one line that is written over. Elsewhere nothing. */

/** `done` hears how many of `all` are over; the line goes away with the last. */
export function progressOf(all: number, unit: string): (done: number) => void {
  if (process.stderr.isTTY !== true || process.env['NO_COLOR'] !== undefined) return () => {}
  const began = performance.now()
  return done => {
    const left = Math.ceil(((performance.now() - began) / 1000 / done) * (all - done))
    const time = left < 120 ? `${left} s` : `${Math.ceil(left / 60)} min`
    const text = `${done.toLocaleString('en')} of ${all.toLocaleString('en')} ${unit}, ${time} left`
    process.stderr.write(done >= all ? '\r\u001b[K' : `\r\u001b[K${text}`)
  }
}
