/**
 * The sounder: each tone a square wave from the pin's PWM, the next one set going by a timer. Nobody waits for it. A
 * new list ends the old one.
 */
import type { Sounder, Tone } from '../board.ts'
import { CHECKS, checkOptions, mustBe, mustBeOpen, PIN } from './checks.ts'
import type { Engine } from './engine.ts'

export function openSounder(options: { engine: Engine; pin: string }): Sounder {
  if (CHECKS) checkOptions('sounder', options, { pin: PIN })
  const { engine, pin } = options
  let playing: Tone[] = []
  let next = 0
  let timer = 0
  let closed = false

  const play = (): void => {
    timer = 0
    const tone = playing[next++]
    if (tone !== undefined && tone.hertz > 0) engine.analogWrite(pin, 0.5, { freq: tone.hertz })
    else engine.digitalWrite(pin, 0)
    if (tone !== undefined) timer = engine.setTimeout(play, tone.seconds * 1000)
  }
  const write = (tones: Tone[]): void => {
    if (CHECKS) mustBeOpen('sounder', closed)
    if (CHECKS) checkTones(tones)
    if (timer !== 0) engine.clearTimeout(timer)
    playing = tones
    next = 0
    play()
  }
  play()
  return {
    write: write,
    close: () => {
      if (!closed) write([])
      closed = true
    },
  }
}

function checkTones(tones: Tone[]): void {
  mustBe('sounder', typeof tones === 'object' && tones !== null, tones, 'a list of tones')
  for (let i = 0; i < tones.length; i++) {
    mustBe('sounder', tones[i].hertz >= 0 && tones[i].hertz <= 20000, tones[i].hertz, '0 to 20000 hertz')
    mustBe('sounder', tones[i].seconds >= 0 && tones[i].seconds <= 60, tones[i].seconds, '0 to 60 s')
  }
}
