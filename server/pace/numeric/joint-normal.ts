/** A combination of numbers: places in the state and factors. */
export interface Combination {
  readonly at: readonly number[];
  readonly factor: readonly number[];
}

/**
 * Jointly normal numbers that are learnt from sums of them: the update of a filter for a state that does not move (R. E.
 * Kalman, J. Basic Eng. 82, 1960, 35-45), one observation at a time.
 */
export class JointNormal {
  #size = 0;
  #room = 0;
  #mean = new Float64Array(0);
  /** Row by row, `#room` wide; symmetric. */
  #covariance = new Float64Array(0);

  /** One more number, not correlated with those there. @returns its place */
  add(mean: number, variance: number): number {
    if (this.#size === this.#room) this.#makeRoom();
    const at = this.#size++;
    this.#mean[at] = mean;
    this.#covariance[at * this.#room + at] = variance;
    return at;
  }

  /** One more number: that at `like` and something of its own. @returns its place */
  addLike(like: number, shift: number, ownVariance: number): number {
    const at = this.add(this.mean(like) + shift, 0);
    for (let i = 0; i < at; i++) this.setCovariance(at, i, this.covariance(like, i));
    this.setCovariance(at, at, this.covariance(like, like) + ownVariance);
    return at;
  }

  mean(at: number): number {
    return this.#mean[at] as number;
  }

  covariance(i: number, j: number): number {
    return this.#covariance[i * this.#room + j] as number;
  }

  setCovariance(i: number, j: number, value: number): void {
    this.#covariance[i * this.#room + j] = value;
    this.#covariance[j * this.#room + i] = value;
  }

  meanOf(combination: Combination): number {
    return along(this.#mean, combination);
  }

  varianceOf(combination: Combination): number {
    return along(this.#timesCovariance(combination), combination);
  }

  /**
   * Takes in that a combination was seen to be `y`.
   *
   * @param precision one over the variance of the observation; below 0 takes back what was taken in before with at least as
   *   much
   */
  observe(combination: Combination, y: number, precision: number): void {
    const shift = this.#timesCovariance(combination);
    const total = along(shift, combination) + 1 / precision;
    const off = (y - this.meanOf(combination)) / total;
    const n = this.#size;
    for (let i = 0; i < n; i++) {
      const s = shift[i] as number;
      this.#mean[i] = (this.#mean[i] as number) + s * off;
      const row = i * this.#room;
      for (let j = 0; j < n; j++)
        this.#covariance[row + j] = (this.#covariance[row + j] as number) - (s * (shift[j] as number)) / total;
    }
  }

  #timesCovariance({ at, factor }: Combination): Float64Array {
    const out = new Float64Array(this.#size);
    for (const [k, place] of at.entries()) {
      const row = place * this.#room;
      const by = factor[k] as number;
      for (let i = 0; i < out.length; i++) out[i] = (out[i] as number) + by * (this.#covariance[row + i] as number);
    }
    return out;
  }

  #makeRoom() {
    const room = Math.max(16, 2 * this.#room);
    const covariance = new Float64Array(room * room);
    for (let i = 0; i < this.#size; i++)
      covariance.set(this.#covariance.subarray(i * this.#room, i * this.#room + this.#size), i * room);
    const mean = new Float64Array(room);
    mean.set(this.#mean);
    this.#room = room;
    this.#covariance = covariance;
    this.#mean = mean;
  }
}

function along(x: Float64Array, { at, factor }: Combination): number {
  let sum = 0;
  for (const [k, place] of at.entries()) sum += (factor[k] as number) * (x[place] as number);
  return sum;
}
