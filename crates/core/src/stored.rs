//! Ground and mows stored and read back (feature `serde`). What is read is checked as if it were new.

use crate::ground::FairwayBuilder;
use crate::model::ground::Fairway;
use crate::model::mow::{Mow, MowParts};
use serde::de::Error;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

impl Serialize for Fairway {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        FairwayBuilder {
            name: self.name.clone(),
            outline: self.outline.0.clone(),
            keep_outs: self.keep_outs.clone(),
            no_turn: self.no_turn.0.clone(),
            hole_line: self.hole_line.clone(),
            way_in: self.way_in,
        }
        .serialize(to)
    }
}

impl<'de> Deserialize<'de> for Fairway {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        FairwayBuilder::deserialize(from)?
            .build_and_tell()
            .map(|(f, _)| f)
            .map_err(D::Error::custom)
    }
}

impl<'de> Deserialize<'de> for Mow {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let parts = MowParts::deserialize(from)?;
        let refused = |text: String| Err(D::Error::custom(text));
        let (mut track, mut leg) = (0, 0);
        for (i, l) in parts.legs.iter().enumerate() {
            let (from, to) = (l.tracks.start, l.tracks.end);
            if from < track || to < from || l.step >= parts.steps.len() {
                return refused(format!("leg {i} does not follow the one before"));
            }
            track = to;
        }
        for (i, s) in parts.steps.iter().enumerate() {
            if s.legs.start != leg || s.legs.end < leg {
                return refused(format!("step {i} does not follow the one before"));
            }
            leg = s.legs.end;
        }
        let (tracks, legs) = (parts.tracks.len(), parts.legs.len());
        if track > tracks {
            return refused(format!("the legs end at track {track}, there are {tracks}"));
        }
        if leg != legs {
            return refused(format!("the steps end at leg {leg}, there are {legs}"));
        }
        Ok(parts.mow())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Heading, KeepOutKind, Mower, Pattern, Settings, plan};
    use geo_types::polygon;
    use serde_json::json;

    fn planned() -> (Fairway, Settings, Mow) {
        let bunker = polygon![(x: 40., y: 10.), (x: 50., y: 10.), (x: 45., y: 18.)];
        let f = Fairway::builder("7")
            .outline(polygon![(x: 0., y: 0.), (x: 90., y: 0.), (x: 90., y: 30.), (x: 0., y: 30.)])
            .keep_out(KeepOutKind::Bunker, bunker)
            .build()
            .unwrap();
        let settings = Settings::new(Pattern::Stripes {
            heading: Heading::Along,
        });
        let mow = plan(&f, &Mower::bar(2.54), &settings).unwrap();
        (f, settings, mow)
    }

    #[test]
    fn what_is_stored_is_read_back_to_the_bit() {
        let (f, settings, mow) = planned();
        let text = serde_json::to_string(&(&f, Mower::bar(2.54), &settings, &mow)).unwrap();
        let back: (Fairway, Mower, Settings, Mow) = serde_json::from_str(&text).unwrap();
        assert_eq!(back, (f, Mower::bar(2.54), settings, mow));
    }

    #[test]
    fn ground_and_legs_that_are_not_sound_are_refused() {
        let (f, _, mow) = planned();
        let refused = |text: String, part: &str| {
            let f = serde_json::from_str::<Fairway>(&text).err();
            let m = serde_json::from_str::<Mow>(&text).err();
            let told = f.into_iter().chain(m).any(|e| e.to_string().contains(part));
            assert!(told, "{part}");
        };
        let mut ground = serde_json::to_value(&f).unwrap();
        ground["outline"] = json!([]);
        refused(ground.to_string(), "there is no outline");
        let mut drive = serde_json::to_value(&mow).unwrap();
        drive["legs"][1]["tracks"]["start"] = json!(0);
        refused(drive.to_string(), "leg 1 does not follow");
        drive["legs"] = json!([]);
        refused(drive.to_string(), "the steps end at leg");
        drive["steps"][0]["legs"]["start"] = json!(1);
        refused(drive.to_string(), "step 0 does not follow");
        drive["steps"] = json!([]);
        assert!(serde_json::from_value::<Mow>(drive).is_ok());
    }
}
