/**
 * Progress for people: on a terminal one line that changes in place, elsewhere a line at every quarter. NO_COLOR and pipes
 * get no control characters.
 */

const WIDTH = 79
/** Off a terminal a wait is told of so often. */
const WAITING_SECONDS = 20

export class ProgressLine {
  private shown = false
  private quarter = -1
  private doing = ''
  private startedAt = 0
  private startedWith = 0
  private readonly changing: boolean

  /** `words` prints one whole line; `screen` is where a changing line goes. */
  constructor(
    private readonly words: (line: string) => void,
    private readonly screen: NodeJS.WriteStream = process.stderr,
  ) {
    this.changing = screen.isTTY === true && process.env['NO_COLOR'] === undefined
  }

  /** A line that stays. */
  say(text: string): void {
    this.end()
    this.words(text)
  }

  /** `done` of `all`, written with `unit`. */
  progress(doing: string, done: number, all: number, unit: (amount: number) => string): void {
    if (doing !== this.doing) {
      this.end()
      this.doing = doing
      this.startedAt = Date.now()
      this.startedWith = done
    }
    const fraction = all > 0 ? Math.min(1, done / all) : 1
    const text = `${doing}: ${unit(Math.min(done, all))} of ${unit(all)}`
    if (this.changing) {
      this.screen.write(`\r${`${text}${this.left(done, all)}`.padEnd(WIDTH).slice(0, WIDTH)}`)
      this.shown = true
    } else if (Math.floor(fraction * 4) > this.quarter) {
      this.quarter = Math.floor(fraction * 4)
      this.words(text)
    }
  }

  /** So long already; how long it will take is not known. */
  waiting(doing: string, seconds: number): void {
    if (doing !== this.doing) this.end()
    this.doing = doing
    const text = `${doing}: ${Math.round(seconds)} s`
    if (this.changing) {
      this.screen.write(`\r${text.padEnd(WIDTH).slice(0, WIDTH)}`)
      this.shown = true
    } else if (Math.floor(seconds / WAITING_SECONDS) > this.quarter) {
      this.quarter = Math.floor(seconds / WAITING_SECONDS)
      this.words(text)
    }
  }

  /** Leaves what stands on the terminal and goes on below it. */
  end(): void {
    if (this.shown) this.screen.write('\n')
    this.shown = false
    this.doing = ''
    this.quarter = -1
  }

  private left(done: number, all: number): string {
    const seconds = (Date.now() - this.startedAt) / 1000
    const gained = done - this.startedWith
    if (seconds < 1 || gained <= 0 || done >= all) return ''
    return `, ${Math.ceil((seconds * (all - done)) / gained)} s left`
  }
}
