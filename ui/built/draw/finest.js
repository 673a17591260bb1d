// The place of the picture that asks most to be looked at closely.
import { useEffect, useState } from "../../vendor/hooks.js";
import { edge } from "../store/link.js";
/** Where the edge of a piece is finest: found once for where it stands. */
const known = new Map();
function finestOf(piece, stands) {
	const found = known.get(stands) ?? edge(piece).then((all) => all[0]?.picture_px);
	known.set(stands, found);
	return found;
}
/** Where the subject's edge is finest, in pixels of the picture; until it is found, the subject's middle, and without one the picture's. */
export function useFinest(picture) {
	const piece = (picture.pieces.find((p) => p.is_subject) ?? picture.pieces[0])?.piece;
	const [found, find] = useState(null);
	const stand = picture.projection?.pieces.find((p) => p.piece === piece);
	const stands = [
		picture.name,
		piece,
		stand?.foot_px,
		stand?.top_px
	].join();
	useEffect(() => {
		let isLate = false;
		find(null);
		if (piece !== undefined) void finestOf(piece, stands).then((at) => at && !isLate && find(at));
		return () => void (isLate = true);
	}, [stands]);
	const r = picture.reading;
	return found ?? (stand ? [(stand.top_px[0] + stand.foot_px[0]) / 2, (stand.top_px[1] + stand.foot_px[1]) / 2] : [(r?.width_px ?? 0) / 2, (r?.height_px ?? 0) / 2]);
}
