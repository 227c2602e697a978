"""dicom_samples.py FOLDER: invented eyes as DICOM files of the ophthalmic classes, by python3-pydicom. Nobody's data; every name and
number of a person in them is a mark (KEPT-OUT) that must never come through."""
import os
import sys

from pydicom.dataset import Dataset, FileMetaDataset
from pydicom.sequence import Sequence
from pydicom.uid import ExplicitVRLittleEndian

ROOT = "1.2.840.10008.5.1.4.1.1.78."
MODALITY = {2: "AR", 3: "KER", 4: "SRF", 5: "VA", 7: "OAM", 8: "IOL"}


def code(value, scheme, meaning):
    d = Dataset()
    d.CodeValue, d.CodingSchemeDesignator, d.CodeMeaning = value, scheme, meaning
    return d


def item(**values):
    d = Dataset()
    for key, value in values.items():
        setattr(d, key, Sequence(value) if isinstance(value, list) else value)
    return d


def data_set(sop_class, day, serial, **values):
    d = item(**values)
    d.SOPClassUID = ROOT + str(sop_class)
    d.SOPInstanceUID, d.StudyInstanceUID, d.SeriesInstanceUID = f"2.25.{serial}1", f"2.25.{serial}2", f"2.25.{serial}3"
    d.Modality, d.Manufacturer, d.ManufacturerModelName = MODALITY[sop_class], "KEPT-OUT works", "KEPT-OUT model"
    d.DeviceSerialNumber, d.SoftwareVersions = "KEPT-OUT-7", "1"
    d.PatientName, d.PatientID, d.PatientBirthDate, d.PatientSex = "KEPT-OUT^Name", "KEPT-OUT-4711", "19590401", "O"
    d.PatientAge = "066Y"
    d.StudyDate = d.SeriesDate = d.ContentDate = day
    d.StudyTime = d.SeriesTime = d.ContentTime = "101500"
    d.StudyID, d.SeriesNumber, d.InstanceNumber = "1", "1", "1"
    d.AccessionNumber, d.ReferringPhysicianName = "KEPT-OUT-1", "KEPT-OUT^Doctor"
    d.Laterality = ""
    d.StudyDescription = "KEPT-OUT study"
    d.file_meta = FileMetaDataset()
    d.file_meta.TransferSyntaxUID = ExplicitVRLittleEndian
    d.file_meta.MediaStorageSOPClassUID, d.file_meta.MediaStorageSOPInstanceUID = d.SOPClassUID, d.SOPInstanceUID
    d.file_meta.ImplementationClassUID = "2.25.99"
    d.is_little_endian, d.is_implicit_VR = True, False
    return d


def keratometry(flat_d, steep_d, steep_axis, index=1.3375):
    def meridian(power, axis):
        return [item(RadiusOfCurvature=round(1000 * (index - 1) / power, 2), KeratometricPower=power, KeratometricAxis=axis)]
    return dict(SteepKeratometricAxisSequence=meridian(steep_d, steep_axis),
                FlatKeratometricAxisSequence=meridian(flat_d, (steep_axis + 90 - 1) % 180 + 1))


DEVICE = [code("111780", "DCM", "Measurement From This Device")]
MANUAL = [code("113857", "DCM", "Manual Entry")]


def lens_calculation(eye_of, flat, steep, steep_axis, index=1.3375):
    """One eye of a calculation, without what was worked out."""
    return dict(
        RefractiveStateSequence=[item(
            SphericalLensPower=p, CylinderLensPower=c, CylinderAxis=a,
            SourceOfRefractiveMeasurementsSequence=[item(SourceOfRefractiveMeasurementsCodeSequence=MANUAL)]) for p, c, a in eye_of["state"]],
        TargetRefraction=-0.25, RefractiveProcedureOccurred="NO", KeratometerIndex=1.3375,
        CornealSizeSequence=[item(CornealSize=eye_of["white"], SourceOfCornealSizeDataCodeSequence=DEVICE)],
        OphthalmicAxialLengthSequence=[item(OphthalmicAxialLength=eye_of["length"], OphthalmicAxialLengthSelectionMethodCodeSequence=
                                            [code("121410", "DCM", "User chosen value")],
                                            SourceOfOphthalmicAxialLengthCodeSequence=DEVICE)],
        AnteriorChamberDepthSequence=[item(AnteriorChamberDepth=eye_of["depth"], SourceOfAnteriorChamberDepthDataCodeSequence=DEVICE)],
        KeratometryMeasurementTypeCodeSequence=[code("111754", "DCM", "Auto Keratometry")],
        **keratometry(flat, steep, steep_axis, index))


def calculation(day, serial, index=1.3375, **changes):
    eye = dict(
        LensThicknessSequence=[item(LensThickness=4.52, SourceOfLensThicknessDataCodeSequence=MANUAL)],
        IOLFormulaCodeSequence=[code("111767", "DCM", "SRK-T")],
        LensConstantSequence=[item(ConceptNameCodeSequence=[code("397263007", "SCT", "A-Constant")], NumericValue="119.1"),
                              item(ConceptNameCodeSequence=[code("111769", "DCM", "Haigis a0")], NumericValue="0.61")],
        IOLManufacturer="KEPT-OUT works", ImplantName="KEPT-OUT lens",
        IOLPowerSequence=[item(IOLPower=p, PredictedRefractiveError=e, ImplantPartNumber="KEPT-OUT-3") for p, e in ((20.0, 0.21), (20.5, -0.1), (21.0, -0.47))],
        IOLPowerForExactEmmetropia=20.36, IOLPowerForExactTargetRefraction=20.7,
        **lens_calculation(right, 43.6, 44.35, 92, index))
    eye.update(changes)
    other = dict(
        LensThicknessSequence=[item(LensThickness=4.47, SourceOfLensThicknessDataCodeSequence=DEVICE)],
        IOLFormulaCodeSequence=eye["IOLFormulaCodeSequence"], LensConstantSequence=eye["LensConstantSequence"],
        IOLManufacturer="KEPT-OUT works", ImplantName="KEPT-OUT lens",
        IOLPowerSequence=[item(IOLPower=20.5, PredictedRefractiveError=-0.4, ImplantPartNumber="KEPT-OUT-3")],
        IOLPowerForExactEmmetropia=20.2, IOLPowerForExactTargetRefraction=20.5,
        **lens_calculation(left, 43.7, 44.3, 88))
    return data_set(8, day, serial, IntraocularLensCalculationsRightEyeSequence=[item(**eye)],
                    IntraocularLensCalculationsLeftEyeSequence=[item(**other)],
                    AnteriorChamberDepthDefinitionCodeSequence=[code("111776", "DCM", "Front Of Cornea To Front Of Lens")])


IMAGE = [item(ReferencedSOPClassUID="1.2.840.10008.5.1.4.1.1.7.2", ReferencedSOPInstanceUID="2.25.77", ReferencedFrameNumber="1")]
QUALITY = [item(ConceptNameCodeSequence=[code("111787", "DCM", "Signal to Noise Ratio")], NumericValue="12",
                MeasurementUnitsCodeSequence=[code("1", "UCUM", "no units")])]
SELECTION = dict(OphthalmicAxialLengthSelectionMethodCodeSequence=[code("121410", "DCM", "User chosen value")],
                 ReferencedOphthalmicAxialLengthMeasurementQCImageSequence=IMAGE, OphthalmicAxialLengthQualityMetricSequence=QUALITY)


def measured(length, **more):
    optical = [item(OphthalmicAxialLengthDataSourceCodeSequence=DEVICE, OphthalmicAxialLengthDataSourceDescription="KEPT-OUT source")]
    return item(OphthalmicAxialLength=length, OphthalmicAxialLengthMeasurementModified="NO",
                OpticalOphthalmicAxialLengthMeasurementsSequence=optical,
                ReferencedOphthalmicAxialLengthMeasurementQCImageSequence=IMAGE, **more)


def axial_eye(length, status, vitreous=("372242005", "Vitreous Only"), selected=True, dilated=None):
    """The whole length, or, from a dict of codes, the lengths of segments."""
    values = dict(LensStatusCodeSequence=[code(*status)], VitreousStatusCodeSequence=[code(vitreous[0], "SCT", vitreous[1])],
                  PupilDilated="YES" if dilated else "NO")
    if dilated:
        values.update(DegreeOfDilation=dilated, MydriaticAgentSequence=[item(MydriaticAgentCodeSequence=[code("9190005", "SCT", "Tropicamide")])])
    if isinstance(length, dict):
        parts = [dict(OphthalmicAxialLengthMeasurementsSegmentNameCodeSequence=[code(*name)], length=part) for name, part in length.items()]
        kind, inside = "SEGMENTAL LENGTH", item(OphthalmicAxialLengthMeasurementsSegmentalLengthSequence=[measured(**p) for p in parts])
        chosen = dict(SelectedSegmentalOphthalmicAxialLengthSequence=[
            item(OphthalmicAxialLength=p["length"], **SELECTION, **{k: v for k, v in p.items() if k != "length"}) for p in parts])
    else:
        kind, inside = "TOTAL LENGTH", item(OphthalmicAxialLengthMeasurementsTotalLengthSequence=[measured(length)])
        chosen = dict(SelectedTotalOphthalmicAxialLengthSequence=[item(OphthalmicAxialLength=length, **SELECTION)])
    inside.OphthalmicAxialLengthMeasurementsType = kind
    values.update(OphthalmicAxialLengthMeasurementsSequence=[inside], OphthalmicAxialLengthMeasurementsType=kind)
    if selected:
        values.update(OpticalSelectedOphthalmicAxialLengthSequence=[item(**chosen)])
    return item(**values)


def axial(day, serial, definition=("111776", "Front Of Cornea To Front Of Lens"), **eyes):
    d = data_set(7, day, serial, OphthalmicAxialMeasurementsDeviceType="OPTICAL",
                 AnteriorChamberDepthDefinitionCodeSequence=[code(definition[0], "DCM", definition[1])])
    for eye, values in eyes.items():
        setattr(d, f"OphthalmicAxialMeasurements{eye}EyeSequence", Sequence([values]))
    return d


CHAMBER, LENS, CORNEA = ("31636006", "SCT", "Anterior Chamber"), ("111778", "DCM", "Single or Anterior Lens"), ("28726007", "SCT", "Cornea")
PSEUDOPHAKIA = ("95217000", "SCT", "Pseudophakia")
PHAKIC = ("309649001", "SCT", "Phakic")


def refraction(sop_class, day, serial, sphere, cylinder, axis, other=None):
    name = {4: "SubjectiveRefraction", 2: "Autorefraction"}[sop_class]
    d = data_set(sop_class, day, serial)
    for eye, values in (("Right", (sphere, cylinder, axis)), ("Left", other)):
        if values:
            setattr(d, f"{name}{eye}EyeSequence", Sequence([item(SpherePower=values[0], CylinderSequence=[
                item(CylinderPower=values[1], CylinderAxis=values[2])])]))
    return d


def acuity(day, serial, decimal, kind, other=None):
    d = data_set(5, day, serial, VisualAcuityTypeCodeSequence=[code(*kind)],
                 VisualAcuityRightEyeSequence=[item(DecimalVisualAcuity=decimal)],
                 ViewingDistanceType="DISTANCE", Optotype="LETTERS",
                 OptotypeDetailedDefinition="letters", OptotypePresentation="SINGLE", ReferencedRefractiveMeasurementsSequence=[], BackgroundColor="WHITE", ViewingDistance=6000.0)
    if other:
        d.VisualAcuityLeftEyeSequence = Sequence([item(DecimalVisualAcuity=other)])
    return d


BEST, BARE = ("419775003", "SCT", "Best Corrected Visual Acuity"), ("420050001", "SCT", "Uncorrected Visual Acuity")
right = dict(length=23.25, depth=3.12, white=11.9, state=[(1.0, -0.75, 180.0)])
left = dict(length=23.31, depth=3.1, white=11.8, state=[(1.25, -0.5, 175.0)])
OTHER = axial_eye(23.31, PHAKIC)
SAMPLES = {
    "calculation": calculation("20250820", 11),
    "axial-before": axial("20250820", 12, Right=axial_eye(23.25, PHAKIC), Left=OTHER),
    "axial-after": axial("20251028", 13, Right=axial_eye(23.22, PSEUDOPHAKIA)),
    "axial-unselected": axial("20251028", 14, Right=axial_eye(23.22, PSEUDOPHAKIA, selected=False)),
    "axial-segments": axial("20251028", 24, Right=axial_eye(
        {CORNEA: 0.548, CHAMBER: 5.05, LENS: 0.68}, PSEUDOPHAKIA, dilated=7.0),
        Left=axial_eye({CHAMBER: 3.1, LENS: 4.47}, PHAKIC)),
    "axial-back": axial("20251028", 25, ("111777", "Back Of Cornea To Front Of Lens"),
                        Right=axial_eye({CHAMBER: 4.5}, PSEUDOPHAKIA, ("232077005", "Post-Vitrectomy"))),
    "axial-two-lenses": axial("20251028", 26, Right=axial_eye(23.22, ("370951003", "SCT", "Piggyback IOL"),
                                                              ("247094004", "Gas in vitreous cavity"))),
    "keratometry-after": data_set(3, "20251028", 15, KeratometryRightEyeSequence=[item(**keratometry(43.5, 44.25, 90))]),
    "refraction-first": refraction(4, "20251015", 16, 1.75, -0.75, 180.0),
    "refraction-after": refraction(4, "20251028", 17, 2.0, -0.75, 180.0, (1.0, -0.5, 175.0)),
    "autorefraction": refraction(2, "20251028", 18, 2.25, -0.87, 178.0, (1.25, -0.62, 174.0)),
    "acuity": acuity("20251028", 19, 1.0964782, BEST, 0.63095734),
    "acuity-bare": acuity("20251028", 27, 0.39810717, BARE),
    "acuity-pinhole": acuity("20251028", 20, 1.0, ("419475002", "SCT", "Pinhole Visual Acuity")),
    "back-of-cornea": calculation("20250820", 21),
    "simulated": calculation("20250820", 22, KeratometryMeasurementTypeCodeSequence=[code("111755", "DCM", "Simulated Keratometry")]),
    "other-index": calculation("20250820", 23, index=1.332),
}
# both of one day are told apart by their time
for later in ("acuity-bare",):
    SAMPLES[later].ContentTime = "101600"
SAMPLES["back-of-cornea"].AnteriorChamberDepthDefinitionCodeSequence = Sequence([code("111777", "DCM", "Back Of Cornea To Front Of Lens")])
# where older instruments write the corneal size
older = SAMPLES["other-index"].IntraocularLensCalculationsRightEyeSequence[0]
older.CornealSize = older.CornealSizeSequence[0].CornealSize
del older.CornealSizeSequence

if __name__ == "__main__":
    for sample, data in SAMPLES.items():
        data.save_as(os.path.join(sys.argv[1], sample + ".dcm"), write_like_original=False)
