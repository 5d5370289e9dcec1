//! PNG and JPEG pictures: what they take once they are unpacked, told from their first bytes and the headings of
//! their chunks, before anything is unpacked.

use super::Unfit;
use crate::limits;
use flate2::read::ZlibDecoder;
use std::io::{self, Read};

/// Why a picture cannot be unpacked, to be put after "the picture".
pub(super) fn unfit(bytes: &[u8]) -> Option<Unfit> {
    let Ok(size) = imagesize::blob_size(bytes) else {
        return Some("cannot be read: the file does not give the picture's size".into());
    };
    if (size.width as u64).saturating_mul(size.height as u64) > limits::PICTURE_DOTS {
        return Some(format!("has more than {} million dots", limits::PICTURE_DOTS / 1_000_000).into());
    }
    bytes.starts_with(b"\x89PNG").then(|| png_unfit(bytes)).flatten()
}

/// What is packed within a PNG beside its dots: colour profile and words (PNG specification, third edition, 11.3).
fn png_unfit(bytes: &[u8]) -> Option<Unfit> {
    let mut rest = bytes.get(8..)?;
    if let Some(&[w0, w1, w2, w3, h0, h1, h2, h3, depth, kind]) =
        bytes.get(16..26).and_then(|it| it.first_chunk())
    {
        let (width, height) = (u32::from_be_bytes([w0, w1, w2, w3]), u32::from_be_bytes([h0, h1, h2, h3]));
        let channels = match kind {
            2 => 3,
            4 => 2,
            6 => 4,
            _ => 1,
        };
        let bits =
            u64::from(width).saturating_mul(u64::from(height)).saturating_mul(channels * u64::from(depth));
        if bits / 8 > limits::PICTURE_UNPACKED {
            return Some(
                format!("takes more than {} MB once it is unpacked", limits::PICTURE_UNPACKED / 1_000_000)
                    .into(),
            );
        }
    }
    while let Some((heading, after)) = rest.split_first_chunk::<8>() {
        let length = u32::from_be_bytes(*heading.first_chunk()?) as usize;
        let data = &after[..length.min(after.len())];
        let packed = match &heading[4..] {
            b"iCCP" | b"zTXt" => after_names(data, 1).and_then(|data| data.get(1..)),
            // Packed where the first of two flags says so; two more names follow them.
            b"iTXt" => after_names(data, 1)
                .filter(|data| data.first() == Some(&1))
                .and_then(|data| data.get(2..).and_then(|data| after_names(data, 2))),
            _ => None,
        };
        if packed.is_some_and(|packed| unpacks_beyond(packed, limits::PNG_PROFILE)) {
            let most = limits::PNG_PROFILE / 1_000_000;
            return Some(
                format!("has a colour profile or words of more than {most} MB packed into it").into(),
            );
        }
        // The length is followed by the chunk and four bytes that check it.
        rest = after.get(length.saturating_add(4)..)?;
    }
    None
}

/// What stands after so many names that each end with a zero.
fn after_names(mut data: &[u8], names: usize) -> Option<&[u8]> {
    for _ in 0..names {
        data = &data[data.iter().position(|byte| *byte == 0)? + 1..];
    }
    Some(data)
}

/// Unpacks as little as it takes to know.
fn unpacks_beyond(packed: &[u8], most: u64) -> bool {
    let mut unpacked = ZlibDecoder::new(packed).take(most + 1);
    // What cannot be unpacked takes nothing.
    io::copy(&mut unpacked, &mut io::sink()).unwrap_or_default() > most
}

#[cfg(test)]
mod tests {
    use super::*;
    use flate2::Compression;
    use flate2::write::ZlibEncoder;
    use std::io::Write;

    fn png(width: u32, height: u32, chunk: &[u8; 4], data: &[u8]) -> Vec<u8> {
        let mut png = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR".to_vec();
        png.extend([width.to_be_bytes(), height.to_be_bytes()].concat());
        png.extend([8, 0, 0, 0, 0, 0, 0, 0, 0]);
        png.extend(u32::try_from(data.len()).unwrap().to_be_bytes());
        png.extend(chunk);
        png.extend(data);
        png.extend([0; 4]);
        png
    }

    fn packed(length: u64) -> Vec<u8> {
        let mut packer = ZlibEncoder::new(Vec::new(), Compression::fast());
        io::copy(&mut io::repeat(0).take(length), &mut packer).unwrap();
        packer.flush().unwrap();
        packer.finish().unwrap()
    }

    #[test]
    fn a_picture_of_too_many_dots_is_never_unpacked() {
        let why = |width, height| unfit(&png(width, height, b"tIME", &[]));
        assert_eq!(why(5_000, 8_000), None);
        for (width, height) in [(200_000, 200_000), (u32::MAX, u32::MAX), (u32::MAX, 1)] {
            assert!(why(width, height).unwrap().contains("million dots"), "{width} × {height}");
        }
    }

    #[test]
    fn deep_colours_count() {
        let mut deep = png(5_000, 8_000, b"tIME", &[]);
        deep[24..26].copy_from_slice(&[16, 6]);
        assert_eq!(unfit(&deep).unwrap(), "takes more than 160 MB once it is unpacked");
        deep[24..26].copy_from_slice(&[8, 6]);
        assert_eq!(unfit(&deep), None);
    }

    #[test]
    fn what_is_packed_into_a_picture_is_measured() {
        for (chunk, names) in [(b"iCCP", &b"a\0\0"[..]), (b"zTXt", b"a\0\0"), (b"iTXt", b"a\0\x01\0en\0b\0")]
        {
            let with = |length| unfit(&png(9, 9, chunk, &[names, &packed(length)].concat()));
            assert_eq!(with(limits::PNG_PROFILE), None);
            assert!(with(200_000_000).unwrap().contains("packed into it"));
        }
    }

    #[test]
    fn a_picture_that_does_not_say_how_large_it_is_is_refused() {
        for bytes in [&b"\x89PNG\r\n\x1a\n"[..], b"\xff\xd8\xff\xe0", b"\xff\xd8\xff\xe0\0\x10JFIF"] {
            assert!(unfit(bytes).unwrap().contains("does not give the picture"));
        }
        // Cut off within a chunk, which the press tells.
        assert_eq!(unfit(&png(9, 9, b"iCCP", b"a\0\0x")[..40]), None);
    }
}
