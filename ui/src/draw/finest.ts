// The place of the picture that asks most to be looked at closely.
import { useEffect, useState } from "../../vendor/hooks.js";
import type { Sheet } from "../../gen/wire.js";
import { edge } from "../store/link.js";

/** Where the edge of a piece is finest: found once. */
const known = new Map<number, Promise<[number, number] | undefined>>();

function finestOf(piece: number): Promise<[number, number] | undefined> {
  const found = known.get(piece) ?? edge(piece).then((all) => all[0]?.picture_px);
  known.set(piece, found);
  return found;
}

/** Where the subject's edge is finest, in pixels of the picture; until it is found, the subject's middle, and without one the picture's. */
export function useFinest(picture: Sheet): [number, number] {
  const piece = (picture.pieces.find((p) => p.is_subject) ?? picture.pieces[0])?.piece;
  const [found, find] = useState<[number, number] | null>(null);
  useEffect(() => {
    find(null);
    if (piece !== undefined) void finestOf(piece).then((at) => at && find(at));
  }, [piece]);
  const stand = picture.projection?.pieces.find((p) => p.piece === piece);
  const r = picture.reading;
  return found ?? (stand ? [(stand.top_px[0] + stand.foot_px[0]) / 2, (stand.top_px[1] + stand.foot_px[1]) / 2] : [(r?.width_px ?? 0) / 2, (r?.height_px ?? 0) / 2]);
}
