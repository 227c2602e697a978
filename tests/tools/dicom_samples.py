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


def calculation(day, serial, right, **changes):
    eye = dict(
        RefractiveStateSequence=[], TargetRefraction=-0.25, RefractiveProcedureOccurred="NO", KeratometerIndex=1.3375, CornealSize=11.9,
        OphthalmicAxialLengthSequence=[item(OphthalmicAxialLength=right["length"], OphthalmicAxialLengthSelectionMethodCodeSequence=
                                            [code("121410", "DCM", "User chosen value")],
                                            SourceOfOphthalmicAxialLengthCodeSequence=DEVICE)],
        AnteriorChamberDepthSequence=[item(AnteriorChamberDepth=right["depth"], SourceOfAnteriorChamberDepthDataCodeSequence=DEVICE)],
        LensThicknessSequence=[item(LensThickness=4.52, SourceOfLensThicknessDataCodeSequence=MANUAL)],
        KeratometryMeasurementTypeCodeSequence=[code("111754", "DCM", "Auto Keratometry")],
        SourceOfRefractiveMeasurementsSequence=[item(SourceOfRefractiveMeasurementsCodeSequence=DEVICE)],
        IOLFormulaCodeSequence=[code("111767", "DCM", "SRK-T")],
        LensConstantSequence=[item(ConceptNameCodeSequence=[code("397263007", "SCT", "A-Constant")], NumericValue="119.1"),
                              item(ConceptNameCodeSequence=[code("111769", "DCM", "Haigis a0")], NumericValue="0.61")],
        IOLManufacturer="KEPT-OUT works", ImplantName="KEPT-OUT lens",
        IOLPowerSequence=[item(IOLPower=p, PredictedRefractiveError=e, ImplantPartNumber="KEPT-OUT-3") for p, e in ((20.0, 0.21), (20.5, -0.1), (21.0, -0.47))],
        IOLPowerForExactEmmetropia=20.36, IOLPowerForExactTargetRefraction=20.7,
        **keratometry(43.6, 44.35, 92))
    eye.update(changes)
    return data_set(8, day, serial, IntraocularLensCalculationsRightEyeSequence=[item(**eye)],
                    AnteriorChamberDepthDefinitionCodeSequence=[code("111776", "DCM", "Front Of Cornea To Front Of Lens")])


def axial(day, serial, length, status, eye="Right", vitreous=("372242005", "Vitreous Only"), selected=True):
    image = [item(ReferencedSOPClassUID="1.2.840.10008.5.1.4.1.1.7.2", ReferencedSOPInstanceUID="2.25.77", ReferencedFrameNumber="1")]
    quality = [item(ConceptNameCodeSequence=[code("111787", "DCM", "Signal to Noise Ratio")], NumericValue="12",
                    MeasurementUnitsCodeSequence=[code("1", "UCUM", "no units")])]
    optical = [item(OphthalmicAxialLengthDataSourceCodeSequence=DEVICE, OphthalmicAxialLengthDataSourceDescription="KEPT-OUT source")]
    measured = item(OphthalmicAxialLength=length, OphthalmicAxialLengthMeasurementModified="NO",
                    OpticalOphthalmicAxialLengthMeasurementsSequence=optical,
                    ReferencedOphthalmicAxialLengthMeasurementQCImageSequence=image)
    chosen = item(OphthalmicAxialLength=length, OphthalmicAxialLengthSelectionMethodCodeSequence=[code("121410", "DCM", "User chosen value")],
                  ReferencedOphthalmicAxialLengthMeasurementQCImageSequence=image, OphthalmicAxialLengthQualityMetricSequence=quality)
    values = dict(LensStatusCodeSequence=[code(*status)], VitreousStatusCodeSequence=[code(vitreous[0], "SCT", vitreous[1])],
                  PupilDilated="NO", OphthalmicAxialLengthMeasurementsType="TOTAL LENGTH",
                  OphthalmicAxialLengthMeasurementsSequence=[
                      item(OphthalmicAxialLengthMeasurementsType="TOTAL LENGTH",
                           OphthalmicAxialLengthMeasurementsTotalLengthSequence=[measured])])
    if selected:
        values.update(OpticalSelectedOphthalmicAxialLengthSequence=[item(
            SelectedTotalOphthalmicAxialLengthSequence=[chosen])])
    d = data_set(7, day, serial, OphthalmicAxialMeasurementsDeviceType="OPTICAL",
                 AnteriorChamberDepthDefinitionCodeSequence=[code("111776", "DCM", "Front Of Cornea To Front Of Lens")])
    setattr(d, f"OphthalmicAxialMeasurements{eye}EyeSequence", Sequence([item(**values)]))
    return d


PSEUDOPHAKIA = ("95217000", "SCT", "Pseudophakia")
PHAKIC = ("309649001", "SCT", "Phakic")


def refraction(sop_class, day, serial, sphere, cylinder, axis):
    name = {4: "SubjectiveRefraction", 2: "Autorefraction"}[sop_class] + "RightEyeSequence"
    return data_set(sop_class, day, serial, **{name: [item(SpherePower=sphere, CylinderSequence=[
        item(CylinderPower=cylinder, CylinderAxis=axis)])]})


def acuity(day, serial, decimal, kind):
    return data_set(5, day, serial, VisualAcuityTypeCodeSequence=[code(*kind)],
                    VisualAcuityRightEyeSequence=[item(DecimalVisualAcuity=decimal)],
                    ViewingDistanceType="DISTANCE", Optotype="LETTERS",
                    OptotypeDetailedDefinition="letters", OptotypePresentation="SINGLE", ReferencedRefractiveMeasurementsSequence=[], BackgroundColor="WHITE", ViewingDistance=6000.0)


BEST = ("419775003", "SCT", "Best Corrected Visual Acuity")
right = dict(length=23.25, depth=3.12)
SAMPLES = {
    "calculation": calculation("20250820", 11, right),
    "axial-before": axial("20250820", 12, 23.25, PHAKIC),
    "axial-after": axial("20251028", 13, 23.22, PSEUDOPHAKIA),
    "axial-unselected": axial("20251028", 14, 23.22, PSEUDOPHAKIA, selected=False),
    "keratometry-after": data_set(3, "20251028", 15, KeratometryRightEyeSequence=[item(**keratometry(43.5, 44.25, 90))]),
    "refraction-first": refraction(4, "20251015", 16, 1.75, -0.75, 180.0),
    "refraction-after": refraction(4, "20251028", 17, 2.0, -0.75, 180.0),
    "autorefraction": refraction(2, "20251028", 18, 2.25, -0.87, 178.0),
    "acuity": acuity("20251028", 19, 1.0964782, BEST),
    "acuity-pinhole": acuity("20251028", 20, 1.0, ("419475002", "SCT", "Pinhole Visual Acuity")),
    "back-of-cornea": calculation("20250820", 21, right),
    "simulated": calculation("20250820", 22, right, KeratometryMeasurementTypeCodeSequence=[code("111755", "DCM", "Simulated Keratometry")]),
    "other-index": calculation("20250820", 23, right, **keratometry(43.6, 44.35, 92, 1.332)),
}
SAMPLES["back-of-cornea"].AnteriorChamberDepthDefinitionCodeSequence = Sequence([code("111777", "DCM", "Back Of Cornea To Front Of Lens")])

if __name__ == "__main__":
    for sample, data in SAMPLES.items():
        data.save_as(os.path.join(sys.argv[1], sample + ".dcm"), write_like_original=False)
