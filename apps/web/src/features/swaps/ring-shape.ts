/** A ring drawn on a circle: where its nodes stand, and the arrows from each to the next. Lengths in the units of the drawing. */
export interface RingShape {
  width: number;
  height: number;
  node: { width: number; height: number };
  nodes: { x: number; y: number }[];
  arrows: { path: string; number: { x: number; y: number }; tip: { x: number; y: number; turn: number } }[];
}

const MARGIN = 8;
const NODE = { width: 124, height: 52 };
const ARROW = 13;

/** The first household stands at the top, the others follow clockwise. */
export function ringShape(households: number): RingShape {
  const radius = households <= 3 ? 96 : 40 + 26 * households;
  const width = 2 * (radius + NODE.width / 2 + MARGIN);
  const height = 2 * (radius + NODE.height / 2 + MARGIN);
  const step = (2 * Math.PI) / households;
  const at = (angle: number) => ({
    x: width / 2 + radius * Math.sin(angle),
    y: height / 2 - radius * Math.cos(angle),
  });
  const nodes = Array.from({ length: households }, (_, index) => at(index * step));
  const isCovered = (angle: number, index: number, gap: number) => {
    const [point, node] = [at(angle), nodes[index % households]];
    if (!node) return false;
    return Math.abs(point.x - node.x) < NODE.width / 2 + gap && Math.abs(point.y - node.y) < NODE.height / 2 + gap;
  };
  const arrows = nodes.map((_, index) => {
    let [from, to] = [index * step, (index + 1) * step];
    while (isCovered(from, index, 2)) from += 0.01;
    while (isCovered(to, index + 1, 3)) to -= 0.01;
    const [start, end, number] = [at(from), at(to - ARROW / 2 / radius), at((from + to) / 2)];
    const large = to - from > Math.PI ? 1 : 0;
    return {
      path: `M${round(start.x)} ${round(start.y)}A${radius} ${radius} 0 ${large} 1 ${round(end.x)} ${round(end.y)}`,
      number: { x: round(number.x), y: round(number.y) },
      tip: { ...rounded(at(to)), turn: round(((to - ARROW / 2 / radius) * 180) / Math.PI) },
    };
  });
  return { width: round(width), height: round(height), node: NODE, nodes: nodes.map(rounded), arrows };
}

const round = (value: number): number => Math.round(value * 10) / 10;
const rounded = ({ x, y }: { x: number; y: number }) => ({ x: round(x), y: round(y) });
