/** The list of ports: what the kernel's tables say, and what is made of it for people. */
import { mkdirSync, mkdtempSync, symlinkSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { expect, test } from 'vitest'
import { linuxPorts, type Port } from '../../../sim/link/ports.ts'
import { portLines } from '../../../sim/link/portsCommand.ts'
import { guessFrom } from '../../../sim/link/usbIds.ts'

/** A table like the kernel's, with one USB board, one classic port and one that has no hardware behind it. */
function table(): string {
  const top = mkdtempSync(join(tmpdir(), 'evenbath-sys-'))
  const usb = join(top, 'devices', 'usb1', '1-2')
  mkdirSync(join(usb, '1-2:1.0'), { recursive: true })
  const facts = {
    idVendor: '2e8a',
    idProduct: '000a',
    manufacturer: 'Raspberry Pi',
    product: 'Pico',
    serial: 'E66058388371',
  }
  for (const [name, text] of Object.entries(facts)) writeFileSync(join(usb, name), `${text}\n`)
  const tty = join(top, 'tty')
  const entries: [string, string, string?][] = [
    ['ttyACM0', join(usb, '1-2:1.0')],
    ['ttyS0', join(top, 'devices', 'serial0'), '4'],
    ['ttyS1', join(top, 'devices', 'serial1'), '0'],
    ['tty7', join(top, 'devices', 'screen')],
  ]
  for (const [name, device, type] of entries) {
    mkdirSync(device, { recursive: true })
    mkdirSync(join(tty, name), { recursive: true })
    symlinkSync(device, join(tty, name, 'device'))
    if (type !== undefined) writeFileSync(join(tty, name, 'type'), `${type}\n`)
  }
  mkdirSync(join(tty, 'console'))
  return tty
}

test('USB ports come with maker, ids and serial number; ports without hardware are left out', () => {
  const ports = linuxPorts(table())
  expect(ports.map(port => port.path)).toEqual(['/dev/ttyACM0', '/dev/ttyS0'])
  expect(ports[0]).toEqual({
    path: '/dev/ttyACM0',
    maker: 'Raspberry Pi',
    product: 'Pico',
    serialNumber: 'E66058388371',
    vendorId: '2e8a',
    productId: '000a',
    what: 'RP2040 board (such as the Pico)',
    likelyBoard: true,
  })
  expect(ports[1]).toMatchObject({ likelyBoard: false })
})

test('a machine without that table has no ports, and that is no fault', () => {
  expect(linuxPorts('/nowhere/at/all')).toEqual([])
})

test('an unknown device is no board, a serial chip may be one, whatever the case of its ids', () => {
  expect(guessFrom('1A86', '7523').likely).toBe(true)
  expect(guessFrom('046d', 'c52b')).toEqual({ what: 'another USB device', likely: false })
  expect(guessFrom(undefined, undefined).likely).toBe(false)
})

test('ports are printed one a line, with what is known of them', () => {
  const pico: Port = {
    path: '/dev/ttyACM0',
    vendorId: '2e8a',
    productId: '000a',
    serialNumber: 'E66',
    what: 'a board',
    likelyBoard: true,
  }
  const plain: Port = { path: '/dev/ttyS0', what: 'a port', likelyBoard: false }
  expect(portLines([pico, plain])).toEqual([
    '/dev/ttyACM0  a board (2e8a:000a, serial number E66)',
    '/dev/ttyS0    a port',
  ])
})
