// Small dense systems of equations.

/** matrix @ answers = each right side; Gauss with the greatest pivot, on copies. */
export function solve(matrix: Float64Array[], rights: Float64Array[]): Float64Array[] {
  const count = matrix.length;
  const rows = matrix.map((row, i) => {
    const whole = new Float64Array(count + rights.length);
    whole.set(row);
    rights.forEach((right, k) => (whole[count + k] = right[i]!));
    return whole;
  });
  for (let k = 0; k < count; k++) {
    let best = k;
    for (let i = k + 1; i < count; i++) {
      if (Math.abs(rows[i]![k]!) > Math.abs(rows[best]![k]!)) best = i;
    }
    [rows[k], rows[best]] = [rows[best]!, rows[k]!];
    const pivot = rows[k]!;
    for (let i = k + 1; i < count; i++) {
      const row = rows[i]!;
      const factor = row[k]! / pivot[k]!;
      if (factor === 0) continue;
      for (let j = k; j < pivot.length; j++) row[j]! -= factor * pivot[j]!;
    }
  }
  return rights.map((_, r) => {
    const answer = new Float64Array(count);
    for (let i = count - 1; i >= 0; i--) {
      let sum = rows[i]![count + r]!;
      for (let j = i + 1; j < count; j++) sum -= rows[i]![j]! * answer[j]!;
      answer[i] = sum / rows[i]![i]!;
    }
    return answer;
  });
}
