/**
 * What USB numbers of a serial port tell: makers of microcontrollers, and of the chips that stand between USB and a
 * microcontroller's serial line. From the makers' pages and the public list of USB ids (linux-usb.org), from memory
 * where a product number is left out. A maker that is not here is no error: the port is shown as it is.
 */
export interface UsbGuess {
  /** In words, as `ports` prints it. */
  what: string
  /** It may well be a roller base. */
  likely: boolean
}

interface Known {
  vendor: string
  product?: string
  what: string
  likely: boolean
}

const KNOWN: Known[] = [
  { vendor: '2e8a', product: '0003', what: 'RP2040 waiting for its engine (boot mode, no port yet)', likely: false },
  { vendor: '2e8a', what: 'RP2040 board (such as the Pico)', likely: true },
  { vendor: '0483', product: '5740', what: 'STM32 board, its own USB', likely: true },
  { vendor: '0483', product: 'df11', what: 'STM32 waiting for its engine (boot mode)', likely: false },
  { vendor: '0483', product: '374b', what: 'debug adapter of an STM32 board', likely: true },
  { vendor: '303a', what: 'ESP32 board, its own USB', likely: true },
  { vendor: '10c4', product: 'ea60', what: 'CP210x serial chip, as on many ESP32 boards', likely: true },
  { vendor: '1a86', what: 'CH340 or CH9102 serial chip, as on many ESP32 boards', likely: true },
  { vendor: '0403', what: 'FTDI serial chip', likely: true },
  { vendor: '067b', what: 'PL2303 serial chip', likely: true },
  { vendor: '1915', what: 'nRF52 board, its own USB', likely: true },
  { vendor: '239a', what: 'microcontroller board, its own USB', likely: true },
  { vendor: '2341', what: 'microcontroller board, its own USB', likely: true },
  { vendor: '0d28', what: 'debug adapter of a microcontroller board', likely: true },
]

/** A guess from the ids (four hex digits); without ids it is a port of the computer itself. */
export function guessFrom(vendorId: string | undefined, productId: string | undefined): UsbGuess {
  if (vendorId === undefined)
    return { what: 'no USB device: a port of this computer, or a pseudo-terminal', likely: false }
  const vendor = vendorId.toLowerCase()
  const product = productId?.toLowerCase()
  const exact = KNOWN.find(one => one.vendor === vendor && one.product === product)
  const { what, likely } = exact ??
    KNOWN.find(one => one.vendor === vendor && one.product === undefined) ?? {
      what: 'another USB device',
      likely: false,
    }
  return { what, likely }
}
