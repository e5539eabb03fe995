/** Classes over three levels, with all that their lowering can get wrong. */
export abstract class Shape {
  static made = 0
  static describe(): string {
    return `${Shape.made} made`
  }
  readonly tags: string[] = []
  protected sides = 0
  constructor(
    readonly name: string,
    protected scale: number = 2,
  ) {
    Shape.made++
  }
  abstract area(): number
  get double(): number {
    return this.area() * 2
  }
  set size(value: number) {
    this.scale = value
  }
  tell(): string {
    return `${this.name}:${this.area()}`
  }
}

export class Box extends Shape {
  private readonly edge = 3
  area(): number {
    return this.edge * this.edge * this.scale
  }
  override tell(): string {
    return `box ${super.tell()}`
  }
}

export class Crate extends Box {
  override tell(): string {
    this.tags.push('crate')
    return `crate ${super.tell()} ${this.sides} ${this.tags.join()}`
  }
}

export enum Side {
  left,
  right = 5,
  top = 'top',
}

export enum Level {
  low = 1,
  high = low << 3,
}
