/** Compensated running sum (Neumaier 1974): the error stays at a few ulp, however many terms. */
export class CompensatedSum {
  private sum = 0;
  private lost = 0;

  add(x: number): void {
    const t = this.sum + x;
    this.lost += Math.abs(this.sum) >= Math.abs(x) ? this.sum - t + x : x - t + this.sum;
    this.sum = t;
  }

  get value(): number {
    return this.sum + this.lost;
  }
}
