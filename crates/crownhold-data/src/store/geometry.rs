//! Geometry blobs of a GeoPackage: a short header with the reference system and the envelope, then
//! well-known binary.
//!
//! Format: OGC 12-128r17 (GeoPackage 1.3), clause 2.1.3; well-known binary: OGC 06-103r4 (ISO z/m type numbers).
//! Reading is our own because blobs may come from anywhere: no count in a blob is believed before the
//! bytes for it are there.

use geo::{BoundingRect, Coord, LineString, MultiLineString, MultiPolygon, Point, Polygon};

const POINT: u32 = 1;
const LINE: u32 = 2;
const POLYGON: u32 = 3;
const MULTI_POINT: u32 = 4;
const MULTI_LINE: u32 = 5;
const MULTI_POLYGON: u32 = 6;

/// Envelope in header order: least x, greatest x, least y, greatest y.
pub(super) type Envelope = [f64; 4];

/// A blob for an outline, in the reference system `srs`.
pub(super) fn write_shape(shape: &MultiPolygon<f64>, srs: u32) -> Vec<u8> {
    let envelope = shape.bounding_rect().map(|r| [r.min().x, r.max().x, r.min().y, r.max().y]);
    let mut out = header(srs, envelope, envelope.is_none());
    kind(&mut out, MULTI_POLYGON);
    count(&mut out, shape.0.len());
    for polygon in &shape.0 {
        kind(&mut out, POLYGON);
        count(&mut out, 1 + polygon.interiors().len());
        ring(&mut out, polygon.exterior());
        polygon.interiors().iter().for_each(|inner| ring(&mut out, inner));
    }
    out
}

/// A blob for lines, in the reference system `srs`.
pub(super) fn write_lines(lines: &MultiLineString<f64>, srs: u32) -> Vec<u8> {
    let envelope = lines.bounding_rect().map(|r| [r.min().x, r.max().x, r.min().y, r.max().y]);
    let mut out = header(srs, envelope, envelope.is_none());
    kind(&mut out, MULTI_LINE);
    count(&mut out, lines.0.len());
    for line in &lines.0 {
        kind(&mut out, LINE);
        ring(&mut out, line);
    }
    out
}

/// A blob for a point, in the reference system `srs`. Points carry no envelope.
pub(super) fn write_point(point: Point<f64>, srs: u32) -> Vec<u8> {
    let mut out = header(srs, None, false);
    kind(&mut out, POINT);
    coordinate(&mut out, point.0);
    out
}

fn header(srs: u32, envelope: Option<Envelope>, empty: bool) -> Vec<u8> {
    const LITTLE_ENDIAN: u8 = 1;
    const ENVELOPE_XY: u8 = 1 << 1;
    const EMPTY: u8 = 1 << 4;
    let flags = LITTLE_ENDIAN | if envelope.is_some() { ENVELOPE_XY } else { 0 } | if empty { EMPTY } else { 0 };
    let mut out = vec![b'G', b'P', 0, flags];
    out.extend(srs.to_le_bytes());
    out.extend(envelope.iter().flatten().flat_map(|v| v.to_le_bytes()));
    out
}

fn kind(out: &mut Vec<u8>, kind: u32) {
    out.push(1);
    out.extend(kind.to_le_bytes());
}

fn count(out: &mut Vec<u8>, n: usize) {
    out.extend(u32::try_from(n).expect("an outline has fewer than 2^32 parts").to_le_bytes());
}

fn ring(out: &mut Vec<u8>, ring: &LineString<f64>) {
    count(out, ring.0.len());
    ring.0.iter().for_each(|c| coordinate(out, *c));
}

fn coordinate(out: &mut Vec<u8>, c: Coord<f64>) {
    out.extend(c.x.to_le_bytes());
    out.extend(c.y.to_le_bytes());
}

/// What a blob held. Heights and measures are dropped.
enum Read {
    Points(Vec<Coord<f64>>),
    Lines(MultiLineString<f64>),
    Areas(MultiPolygon<f64>),
}

/// The outline in a blob; a single polygon becomes a part of its own. The error says what is wrong.
pub(super) fn read_shape(blob: &[u8]) -> Result<MultiPolygon<f64>, String> {
    match read(blob)? {
        Read::Areas(shape) => Ok(shape),
        Read::Points(_) => Err("holds a point where an outline belongs".to_owned()),
        Read::Lines(_) => Err("holds a line where an outline belongs".to_owned()),
    }
}

/// The point in a blob. The error says what is wrong.
pub(super) fn read_point(blob: &[u8]) -> Result<Point<f64>, String> {
    match read(blob)? {
        Read::Points(points) if points.len() == 1 => Ok(Point(points[0])),
        Read::Points(points) => Err(format!("holds {} points where one belongs", points.len())),
        Read::Areas(_) => Err("holds an outline where a point belongs".to_owned()),
        Read::Lines(_) => Err("holds a line where a point belongs".to_owned()),
    }
}

/// The lines in a blob; a single line becomes a part of its own. The error says what is wrong.
pub(super) fn read_lines(blob: &[u8]) -> Result<MultiLineString<f64>, String> {
    match read(blob)? {
        Read::Lines(lines) => Ok(lines),
        Read::Points(_) => Err("holds a point where a line belongs".to_owned()),
        Read::Areas(_) => Err("holds an outline where a line belongs".to_owned()),
    }
}

/// The envelope of a blob, from its header or else from its coordinates; `None` when it is empty.
pub(super) fn envelope(blob: &[u8]) -> Result<Option<Envelope>, String> {
    let mut cursor = Cursor { bytes: blob, at: 0, little: true };
    if let Some(envelope) = cursor.header()? {
        return Ok(Some(envelope));
    }
    let rect = match read(blob)? {
        Read::Points(points) => geo::MultiPoint::from(points).bounding_rect(),
        Read::Lines(lines) => lines.bounding_rect(),
        Read::Areas(shape) => shape.bounding_rect(),
    };
    Ok(rect.map(|r| [r.min().x, r.max().x, r.min().y, r.max().y]))
}

fn read(blob: &[u8]) -> Result<Read, String> {
    let mut cursor = Cursor { bytes: blob, at: 0, little: true };
    cursor.header()?;
    let (kind, width) = cursor.kind()?;
    Ok(match kind {
        POINT => Read::Points(cursor.point(width)?.into_iter().collect()),
        MULTI_POINT => Read::Points(cursor.parts(POINT, Cursor::point)?.into_iter().flatten().collect()),
        LINE => Read::Lines(MultiLineString(vec![cursor.line(width)?])),
        MULTI_LINE => Read::Lines(MultiLineString(cursor.parts(LINE, Cursor::line)?)),
        POLYGON => Read::Areas(MultiPolygon(vec![cursor.polygon(width)?])),
        MULTI_POLYGON => Read::Areas(MultiPolygon(cursor.parts(POLYGON, Cursor::polygon)?)),
        other => return Err(format!("holds geometry type {other}, which is neither point, line nor polygon")),
    })
}

struct Cursor<'a> {
    bytes: &'a [u8],
    at: usize,
    little: bool,
}

impl Cursor<'_> {
    fn header(&mut self) -> Result<Option<Envelope>, String> {
        if self.take::<2>()? != *b"GP" {
            return Err("is not a GeoPackage geometry".to_owned());
        }
        let [_version, flags] = self.take::<2>()?;
        if flags & 0b0010_0000 != 0 {
            return Err("is of an extended geometry type".to_owned());
        }
        self.little = flags & 1 == 1;
        self.u32()?;
        let numbers = match flags >> 1 & 0b111 {
            0 => 0,
            1 => 4,
            2 | 3 => 6,
            4 => 8,
            _ => return Err("has an unknown kind of envelope".to_owned()),
        };
        let values = (0..numbers).map(|_| self.f64()).collect::<Result<Vec<_>, _>>()?;
        let empty = flags & 0b0001_0000 != 0;
        Ok(values.first_chunk::<4>().copied().filter(|e| !empty && e.iter().all(|v| v.is_finite())))
    }

    /// Geometry type without its z/m part, and how many numbers a coordinate has.
    fn kind(&mut self) -> Result<(u32, usize), String> {
        self.little = self.take::<1>()? == [1];
        let number = self.u32()?;
        let width = match number / 1000 {
            0 => 2,
            1 | 2 => 3,
            3 => 4,
            _ => return Err(format!("holds the unknown geometry type {number}")),
        };
        Ok((number % 1000, width))
    }

    fn parts<T>(&mut self, part: u32, read: impl Fn(&mut Self, usize) -> Result<T, String>) -> Result<Vec<T>, String> {
        const LEAST_BYTES: usize = 9;
        let n = self.count(LEAST_BYTES)?;
        let mut out = Vec::with_capacity(n);
        for _ in 0..n {
            match self.kind()? {
                (kind, width) if kind == part => out.push(read(self, width)?),
                (kind, _) => return Err(format!("holds geometry type {kind} inside a collection of type {part}")),
            }
        }
        Ok(out)
    }

    fn polygon(&mut self, width: usize) -> Result<Polygon<f64>, String> {
        let n = self.count(4)?;
        let mut rings = (0..n).map(|_| self.ring(width)).collect::<Result<Vec<_>, _>>()?.into_iter();
        let outer = rings.next().ok_or("holds a polygon without an outer ring")?;
        Ok(Polygon::new(outer, rings.collect()))
    }

    fn ring(&mut self, width: usize) -> Result<LineString<f64>, String> {
        let ring = self.coordinates(width)?;
        if ring.len() < 4 {
            return Err(format!("has a ring of {} points; a closed ring has at least 4", ring.len()));
        }
        Ok(LineString(ring))
    }

    fn line(&mut self, width: usize) -> Result<LineString<f64>, String> {
        let line = self.coordinates(width)?;
        if line.len() == 1 { Err("has a line of one point".to_owned()) } else { Ok(LineString(line)) }
    }

    fn coordinates(&mut self, width: usize) -> Result<Vec<Coord<f64>>, String> {
        let n = self.count(8 * width)?;
        let all = (0..n).map(|_| self.coordinate(width)).collect::<Result<Vec<_>, _>>()?;
        if all.iter().any(|c| !c.x.is_finite() || !c.y.is_finite()) {
            return Err("has a coordinate that is not a finite number".to_owned());
        }
        Ok(all)
    }

    /// A point; `None` when it is the empty point, whose coordinates are not numbers.
    fn point(&mut self, width: usize) -> Result<Option<Coord<f64>>, String> {
        let c = self.coordinate(width)?;
        if c.x.is_nan() && c.y.is_nan() {
            return Ok(None);
        }
        if c.x.is_finite() && c.y.is_finite() { Ok(Some(c)) } else { Err("has an infinite coordinate".to_owned()) }
    }

    fn coordinate(&mut self, width: usize) -> Result<Coord<f64>, String> {
        let c = Coord { x: self.f64()?, y: self.f64()? };
        (2..width).try_for_each(|_| self.f64().map(|_| ()))?;
        Ok(c)
    }

    /// A count of things of at least `bytes_each`, refused when the blob is too short for them.
    fn count(&mut self, bytes_each: usize) -> Result<usize, String> {
        let n = self.u32()? as usize;
        let left = self.bytes.len() - self.at;
        if n > left / bytes_each { Err("is cut short".to_owned()) } else { Ok(n) }
    }

    fn u32(&mut self) -> Result<u32, String> {
        let bytes = self.take()?;
        Ok(if self.little { u32::from_le_bytes(bytes) } else { u32::from_be_bytes(bytes) })
    }

    fn f64(&mut self) -> Result<f64, String> {
        let bytes = self.take()?;
        Ok(if self.little { f64::from_le_bytes(bytes) } else { f64::from_be_bytes(bytes) })
    }

    fn take<const N: usize>(&mut self) -> Result<[u8; N], String> {
        let bytes = self.bytes[self.at..].first_chunk::<N>().ok_or("is cut short")?;
        self.at += N;
        Ok(*bytes)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use geo::polygon;
    use proptest::prelude::*;

    fn triangle_with_hole() -> MultiPolygon<f64> {
        let outer = polygon![exterior: [(x: 10.0, y: 200.0), (x: 40.0, y: 200.0), (x: 40.0, y: 260.0)],
            interiors: [[(x: 30.0, y: 210.0), (x: 38.0, y: 210.0), (x: 38.0, y: 220.0)]]];
        MultiPolygon(vec![outer])
    }

    /// Byte by byte from OGC 12-128r17, table "GeoPackageBinaryHeader": magic, version 0, flags
    /// (little endian, envelope kind 1), reference system, then min x, max x, min y, max y.
    #[test]
    fn header_of_an_outline() {
        let blob = write_shape(&triangle_with_hole(), 32617);
        assert_eq!(blob[..4], [0x47, 0x50, 0, 0b0000_0011]);
        assert_eq!(blob[4..8], [0x69, 0x7F, 0, 0], "32617 is 0x7F69");
        let numbers: Vec<f64> =
            blob[8..40].chunks(8).map(|c| f64::from_le_bytes(<[u8; 8]>::try_from(c).unwrap())).collect();
        assert_eq!(numbers, [10.0, 40.0, 200.0, 260.0]);
        assert_eq!(blob[40..45], [1, 6, 0, 0, 0], "little endian multipolygon");
    }

    /// The example of OGC 06-103r4: POINT(1 2) is 01 01000000 and two doubles; 0x3FF0... is 1, 0x4000... is 2.
    #[test]
    fn a_point_has_no_envelope() {
        let blob = write_point(Point::new(1.0, 2.0), 4326);
        let expected = [
            0x47, 0x50, 0, 1, 0xE6, 0x10, 0, 0, 1, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0xF0, 0x3F, 0, 0, 0, 0, 0, 0, 0, 0x40,
        ];
        assert_eq!(blob, expected);
        assert_eq!(envelope(&blob), Ok(Some([1.0, 1.0, 2.0, 2.0])));
    }

    #[test]
    fn big_endian_with_heights_reads_flat() {
        let mut blob = vec![b'G', b'P', 0, 0, 0, 0, 0, 0];
        blob.extend([0, 0, 0, 0x03, 0xE9]); // big endian, type 1001: point with z
        [3.0_f64, 4.0, 99.0].iter().for_each(|v| blob.extend(v.to_be_bytes()));
        assert_eq!(read_point(&blob), Ok(Point::new(3.0, 4.0)));
    }

    #[test]
    fn empty_outline_is_marked_empty() {
        let blob = write_shape(&MultiPolygon(vec![]), 32617);
        assert_eq!(blob[3], 0b0001_0001);
        assert_eq!(envelope(&blob), Ok(None));
    }

    #[test]
    fn a_lying_count_is_not_believed() {
        let mut blob = write_shape(&triangle_with_hole(), 32617);
        blob[45..49].copy_from_slice(&u32::MAX.to_le_bytes());
        assert_eq!(read_shape(&blob), Err("is cut short".to_owned()));
    }

    /// Type numbers of OGC 06-103r4: 5 is MultiLineString, 2 LineString.
    #[test]
    fn lines_come_back_and_single_ones_too() {
        let line = LineString::from(vec![(1.0, 2.0), (3.0, 5.0)]);
        let lines = MultiLineString(vec![line.clone(), line.clone()]);
        let blob = write_lines(&lines, 32617);
        assert_eq!(blob[40..45], [1, 5, 0, 0, 0]);
        assert_eq!((read_lines(&blob), envelope(&blob)), (Ok(lines), Ok(Some([1.0, 3.0, 2.0, 5.0]))));
        let single: Vec<u8> = blob[..40].iter().chain(&blob[49..49 + 9 + 32]).copied().collect();
        assert_eq!(read_lines(&single), Ok(MultiLineString(vec![line])));
        assert!(read_shape(&blob).is_err() && read_point(&blob).is_err());
    }

    proptest! {
        #[test]
        fn outlines_come_back_bit_for_bit(corners in prop::collection::vec((-1e7..1e7_f64, -1e7..1e7_f64), 3..40)) {
            let shape = MultiPolygon(vec![Polygon::new(LineString::from(corners), vec![])]);
            prop_assume!(shape.0[0].exterior().0.len() >= 4);
            prop_assert_eq!(read_shape(&write_shape(&shape, 26917)).unwrap(), shape);
        }

        #[test]
        fn cut_or_spoilt_blobs_never_panic(cut in 0usize..150, at in 0usize..150, byte in any::<u8>()) {
            let mut blob = write_shape(&triangle_with_hole(), 32617);
            let at = at % blob.len();
            blob[at] = byte;
            blob.truncate(cut);
            let _ = (read_shape(&blob), read_point(&blob), read_lines(&blob), envelope(&blob));
        }
    }
}
