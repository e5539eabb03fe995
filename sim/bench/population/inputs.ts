/**
 * What goes into an evening, in groups that a maker can do something about, and the streams of chance behind them: each
 * quantity draws from a stream of its own, so that evenings of the same seed differ only in what was changed.
 */
import type { Distribution } from './distribution.ts'

export const INPUTS = [
  { name: 'room', words: "the room's temperature" },
  { name: 'prewet', words: 'a prewet, or none' },
  { name: 'films', words: 'films, in the tank and before' },
  { name: 'volume', words: 'how much is poured' },
  { name: 'pour', words: 'how warm it is poured' },
  { name: 'calibration', words: 'calibration of the probe' },
  { name: 'lag', words: 'lag of the probe' },
  { name: 'mounting', words: 'where the probe sits' },
  { name: 'tankHeat', words: 'heat that the tank takes' },
  { name: 'heatFlow', words: 'flow of heat: lid, room, residue' },
  { name: 'reaction', words: 'reaction to the call' },
  { name: 'hands', words: 'the hand: pours, drains, presses' },
  { name: 'pack', words: 'charge and age of the pack' },
  { name: 'machine', words: 'motor, rollers, noise of the readings' },
] as const

export type InputName = (typeof INPUTS)[number]['name']

/** Which seed an input draws from: the same for all in a population. */
export type SeedOf = (input: InputName) => number

/** What a distribution describes, by the input that it belongs to and its stream. Streams are for ever. */
export const QUANTITIES = {
  roomCelsius: { input: 'room', stream: 201 },
  withoutPrewet: { input: 'prewet', stream: 202 },
  reelsLoaded: { input: 'films', stream: 203 },
  filmsThrough: { input: 'films', stream: 204 },
  volumeFraction: { input: 'volume', stream: 205 },
  jugError: { input: 'volume', stream: 206 },
  pourByPlan: { input: 'pour', stream: 207 },
  pourOffCelsius: { input: 'pour', stream: 208 },
  probeCalibration: { input: 'calibration', stream: 209 },
  probeLag: { input: 'lag', stream: 210 },
  tankHeat: { input: 'tankHeat', stream: 211 },
  startCharge: { input: 'pack', stream: 212 },
  packAge: { input: 'pack', stream: 213 },
  reactionSeconds: { input: 'reaction', stream: 214 },
  reactionSigmaSeconds: { input: 'reaction', stream: 215 },
  handSpread: { input: 'hands', stream: 216 },
  changeSeconds: { input: 'hands', stream: 217 },
  pressSigmaSeconds: { input: 'hands', stream: 218 },
} as const satisfies {
  [key in keyof Omit<Distribution, 'name' | 'note' | 'source'>]: { input: InputName; stream: number }
}

export type QuantityName = keyof typeof QUANTITIES

/** Of a quantity that is drawn for each bath: streams so far apart that no two meet. */
export const BATH_STREAM_STEP = 1000
