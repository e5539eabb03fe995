/** What the processes of `cores.test.ts` do: they multiply, and die of a number that they are told to. */
export interface Setup {
  factor: number
  dieOf?: number
}

export async function start({ factor, dieOf }: Setup): Promise<(order: number) => number> {
  return order => {
    if (order === dieOf) throw new Error(`died of ${order}`)
    return factor * order
  }
}
