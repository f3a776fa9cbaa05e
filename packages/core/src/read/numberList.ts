/** A list of numbers that grows in one typed array instead of a boxed one. */
export class NumberList {
  length = 0;
  private data = new Float64Array(1024);

  push(value: number): void {
    if (this.length === this.data.length) {
      const grown = new Float64Array(2 * this.data.length);
      grown.set(this.data);
      this.data = grown;
    }
    this.data[this.length++] = value;
  }

  at(i: number): number {
    return this.data[i] as number;
  }
}
