/**
 * The sounder: each tone a square wave from the pin's PWM, the next one set going by a timer. Nobody waits for it. A
 * new list ends the old one.
 */
import type { Sounder, Tone } from '../board.ts'
import type { Engine } from './engine.ts'
import { EspruinoPart, pinOption } from './part.ts'

export class EspruinoSounder extends EspruinoPart implements Sounder {
  private readonly pin: string
  private tones: Tone[] = []
  private next = 0
  private timer = 0
  private readonly play: () => void

  constructor(options: { engine: Engine; pin: string }) {
    super('sounder', options)
    this.pin = pinOption('sounder', options, 'pin')
    this.play = () => this.playNext()
    this.engine.digitalWrite(this.pin, 0)
  }

  write(tones: Tone[]): void {
    this.mustBeOpen()
    if (typeof tones !== 'object' || tones === null) this.refuse(tones, 'a list of tones')
    for (let i = 0; i < tones.length; i++) {
      if (!(tones[i].hertz >= 0 && tones[i].hertz <= 20000)) this.refuse(tones[i].hertz, '0 to 20000 hertz')
      if (!(tones[i].seconds >= 0 && tones[i].seconds <= 60)) this.refuse(tones[i].seconds, '0 to 60 s')
    }
    this.silence()
    this.tones = tones
    this.next = 0
    this.playNext()
  }

  override close(): void {
    this.silence()
    super.close()
  }

  private silence(): void {
    if (this.timer !== 0) this.engine.clearTimeout(this.timer)
    this.timer = 0
    this.engine.digitalWrite(this.pin, 0)
  }

  private playNext(): void {
    this.timer = 0
    const tone = this.tones[this.next++]
    if (tone !== undefined && tone.hertz > 0) this.engine.analogWrite(this.pin, 0.5, { freq: tone.hertz })
    else this.engine.digitalWrite(this.pin, 0)
    if (tone !== undefined) this.timer = this.engine.setTimeout(this.play, tone.seconds * 1000)
  }
}
