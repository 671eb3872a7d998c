import type { IntegerModel, Row, Stage, Terms, WholeVariable } from './model.ts';

/** Collects a model row by row. Variables that are added give their name back, so that terms can be written with it. */
export class ModelBuilder {
  private readonly variables: WholeVariable[] = [];
  private readonly rows: Row[] = [];
  private readonly stages: Stage[] = [];

  /** A whole number from `least` to `most`. */
  whole(name: string, least: number, most: number): string {
    this.variables.push({ name, least, most });
    return name;
  }

  /** A whole number that the rows make whole by themselves, see WholeVariable. */
  wholeByStructure(name: string, least: number, most: number): string {
    this.variables.push({ name, least, most, wholeByStructure: true });
    return name;
  }

  /** Yes (1) or no (0). */
  decision(name: string): string {
    return this.whole(name, 0, 1);
  }

  atMost(name: string, terms: Terms, most: number): void {
    this.rows.push({ name, terms, most });
  }

  atLeast(name: string, terms: Terms, least: number): void {
    this.rows.push({ name, terms, least });
  }

  equals(name: string, terms: Terms, value: number): void {
    this.rows.push({ name, terms, least: value, most: value });
  }

  between(name: string, terms: Terms, least: number, most: number): void {
    this.rows.push({ name, terms, least, most });
  }

  /** The next aim, less important than all before it. */
  seek(name: string, seek: Stage['seek'], terms: Terms): void {
    this.stages.push({ name, seek, terms });
  }

  build(tieBreak?: IntegerModel['tieBreak']): IntegerModel {
    return { variables: this.variables, rows: this.rows, stages: this.stages, ...(tieBreak ? { tieBreak } : {}) };
  }
}
